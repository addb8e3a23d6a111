"""A map of rates to zones and both grids, version 3 and 4: totals and the rate of each cell, by other means."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

import taskdata
from tests.rates.maps import FIELD, STRIPES, mean_rate, stored, total, write_field, write_stripes

LITRE_PER_HA = 10_000
"""Raw value of 1 L/ha: the dictionary stores 0.01 mm³/m² (ISO 11783-11, DDI 1)."""


@pytest.mark.parametrize("version", [3, 4])
@pytest.mark.parametrize("form", ["zones", "grid1", "grid2"])
def test_polygons_keep_their_total(tmp_path: Path, form: str, version: int) -> None:
    layer, outline = write_stripes(tmp_path), write_field(tmp_path)
    made = taskdata.ratemap(
        layer, tmp_path / "out", unit="L/ha", column="rate", boundary=outline, form=form, cell_m=24.0, version=version
    )
    meant = total(FIELD, STRIPES)
    (line,) = made.bill
    assert line.before == pytest.approx(meant, rel=1e-6)
    assert line.after == pytest.approx(meant, rel=1e-5)
    assert line.area_m2 == pytest.approx(FIELD.area, rel=1e-6)
    assert made.written.new_errors == ()
    assert taskdata.check(tmp_path / "out").summary["error"] == 0
    found = stored(tmp_path / "out")
    assert (found.task.get("G"), len(found.zones)) == ("1", made.zones)
    assert {found.values(int(found.task.get(name, "")))[0] for name in "HIJ"} == {0}
    if form == "zones":
        drawn = found.drawn()
        in_files = sum(shape.area * values[0][1] / LITRE_PER_HA for shape, values in drawn) / 10_000.0
        assert in_files == pytest.approx(meant, rel=1e-5)
        for shape, rate in STRIPES:
            (same,) = [zone for zone, values in drawn if values == [("0001", rate * LITRE_PER_HA)]]
            assert shapely.intersection(FIELD, shape).symmetric_difference(same).area < 0.1
        return
    cells, rates = found.cells()
    assert len(cells) == made.cells
    amount = 0.0
    for cell, (raw,) in zip(cells, rates, strict=True):
        expected = mean_rate(cell, FIELD, STRIPES)
        assert raw / LITRE_PER_HA == pytest.approx(expected or 0.0, rel=1e-5)
        amount += raw / LITRE_PER_HA * shapely.intersection(cell, FIELD).area / 10_000.0
    assert amount == pytest.approx(meant, rel=1e-5)

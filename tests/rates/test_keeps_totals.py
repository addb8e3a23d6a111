"""A map of rates to zones and both grids, version 3 and 4: totals and the rate of each cell, by other means."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
import shapely

import taskdata
from tests.rates.maps import (
    FIELD,
    STRIPES,
    mean_rate,
    squares,
    stored,
    total,
    write_field,
    write_points,
    write_raster,
    write_stripes,
)

LITRE_PER_HA = 10_000
"""Raw value of 1 L/ha: the dictionary stores 0.01 mm³/m² (ISO 11783-11, DDI 1)."""

Rows = Sequence[tuple[Any, float]]


def polygons(folder: Path) -> tuple[Path, Rows]:
    """The map as polygons, and what it says where."""
    return write_stripes(folder), STRIPES


def points(folder: Path) -> tuple[Path, Rows]:
    """The map as points on a turned lattice, and the cells that they stand for."""
    found = squares()
    return write_points(folder, found), found


def raster(folder: Path) -> tuple[Path, Rows]:
    """The map as a GeoTIFF in UTM, turned against it, and its pixels as rasterio places them."""
    return write_raster(folder)


@pytest.mark.parametrize("version", [3, 4])
@pytest.mark.parametrize("form", ["zones", "grid1", "grid2"])
@pytest.mark.parametrize("source", [polygons, points, raster])
def test_what_is_stored_is_what_the_map_asks_for(
    tmp_path: Path, source: Callable[[Path], tuple[Path, Rows]], form: str, version: int
) -> None:
    (layer, rows), outline = source(tmp_path), write_field(tmp_path)
    made = taskdata.ratemap(
        layer,
        tmp_path / "out",
        unit="L/ha",
        column="rate",
        boundary=outline,
        form=form,
        cell_m=None if form == "zones" else 24.0,
        version=version,
    )
    meant = total(FIELD, rows)
    (line,) = made.bill
    assert line.before == pytest.approx(meant, rel=1e-5)
    assert line.after == pytest.approx(meant, rel=1e-5)
    assert line.area_m2 == pytest.approx(FIELD.area, rel=1e-6)
    assert made.written.new_errors == ()
    assert taskdata.check(tmp_path / "out").summary["error"] == 0
    found = stored(tmp_path / "out")
    assert (found.task.get("G"), len(found.zones)) == ("1", made.zones)
    assert {found.values(int(found.task.get(name, "")))[0] for name in "HIJ"} == {0}
    if form == "zones":
        drawn = found.drawn()
        assert len(drawn) == 3
        for shape, ((ddi, raw),) in drawn:
            same = shapely.union_all([item for item, rate in rows if rate * LITRE_PER_HA == raw])
            assert ddi == "0001"
            assert shapely.intersection(FIELD, same).symmetric_difference(shape).area < 0.5
        in_files = sum(shape.area * raw / LITRE_PER_HA for shape, ((_, raw),) in drawn) / 10_000.0
        assert in_files == pytest.approx(meant, rel=1e-5)
        return
    cells, rates = found.cells()
    assert len(cells) == made.cells
    amount = 0.0
    for cell, (raw,) in zip(cells, rates, strict=True):
        expected = mean_rate(cell, FIELD, rows)
        assert raw / LITRE_PER_HA == pytest.approx(expected or 0.0, rel=1e-4)
        amount += raw / LITRE_PER_HA * shapely.intersection(cell, FIELD).area / 10_000.0
    assert amount == pytest.approx(meant, rel=1e-5)

"""Random polygons that cross themselves and each other, in random fields: totals, ground and an audit of each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import taskdata
from tests.heavy import some
from tests.rates.maps import FIELD, write_field, write_layer


def blob(random: np.random.Generator) -> Any:
    """A ring of some points, which may cross itself."""
    return shapely.Polygon(
        random.uniform(-120.0, 120.0, 2) + random.uniform(-90.0, 90.0, (int(random.integers(3, 9)), 2))
    )


@pytest.mark.parametrize("seed", some(range(300), 12))
def test_any_map_keeps_its_total_and_its_ground(tmp_path: Path, seed: int) -> None:
    random = np.random.default_rng(seed)
    rates = [float(random.choice([0.0, 50.0, 100.0, 200.0])) if random.random() < 0.9 else None for _ in range(8)]
    field = blob(random) if random.random() < 0.5 else FIELD
    within = shapely.make_valid(field).representative_point().buffer(20.0)
    rows = [(within, {"rate": 150.0}), *((blob(random), {"rate": rate}) for rate in rates)]
    layer, outline = write_layer(tmp_path / "map.geojson", rows), write_field(tmp_path, field)
    form, version = str(random.choice(["zones", "grid1", "grid2"])), int(random.choice([3, 4]))
    wish: dict[str, Any] = {"unit": "kg/ha", "column": "rate", "boundary": outline, "form": form, "version": version}
    wish |= {"overlap": str(random.choice(["first", "last", "mean"])), "gap_rate": 30.0}
    wish |= {} if form == "zones" else {"cell_m": float(random.uniform(5.0, 40.0))}
    wish |= {"classes": "6"} if form == "grid1" else {}
    made = taskdata.ratemap(layer, tmp_path / "out", **wish)
    (line,) = made.bill
    assert line.after == pytest.approx(line.before, rel=1e-3)
    assert sum(item.area_m2 for item in made.rates) == pytest.approx(line.area_m2, rel=1e-5)
    assert made.written.new_errors == ()
    assert taskdata.check(tmp_path / "out").summary["error"] == 0

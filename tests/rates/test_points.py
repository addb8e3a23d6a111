"""Points with rates: which lie on a lattice, and what irregular ones give, against plain loops over all pairs."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely

import taskdata
from taskdata.errors import UsageError
from taskdata.geometry.lattices import lattice_of
from taskdata.geometry.neighbours import weighed
from tests.rates.maps import FIELD, metres, rate_at, stored, write_field, write_layer, write_points


@pytest.mark.parametrize(("turn", "steps", "noise"), [(0.0, (10, 10), 0.01), (0.4, (12, 12), 0.2), (1.2, (5, 20), 0.0)])
def test_a_lattice_is_found_turned_and_with_gaps(turn: float, steps: tuple[float, float], noise: float) -> None:
    random = np.random.default_rng(1)
    column, row = (item.ravel() for item in np.meshgrid(np.arange(40), np.arange(30)))
    kept = (np.hypot(column - 20, row - 15) < 15) & (random.random(len(column)) < 0.9)
    plain = np.column_stack([column[kept] * steps[0], row[kept] * steps[1]]).astype(float)
    turned = plain @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    found = lattice_of(turned + random.normal(0.0, noise, turned.shape))
    assert found is not None
    assert found.step_m == pytest.approx(min(steps), rel=1e-2)
    cells = found.cells()
    assert shapely.area(cells) == pytest.approx(np.full(len(cells), steps[0] * steps[1]), rel=1e-2)
    assert shapely.union_all(cells).area == pytest.approx(shapely.area(cells).sum(), rel=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_random_points_are_no_lattice(seed: int) -> None:
    assert lattice_of(np.random.default_rng(seed).uniform(0.0, 300.0, (80, 2))) is None


def test_two_points_on_one_place_are_no_lattice() -> None:
    assert lattice_of(np.array([[0, 0], [10, 0], [0, 10], [10, 10], [10, 10]], dtype=float)) is None


def test_values_near_by_are_those_of_a_plain_loop() -> None:
    """Shepard's mean of the eight nearest, and what leaving each out predicts."""
    random = np.random.default_rng(3)
    sites, places = random.uniform(0.0, 100.0, (60, 2)), random.uniform(-20.0, 120.0, (50, 2))
    values = random.uniform(1.0, 9.0, (60, 2))
    values[::7, 1] = np.nan

    def plain(place: np.ndarray, quantity: int, left_out: int | None) -> float:
        near = sorted(
            (math.dist(site, place), value)
            for at, (site, value) in enumerate(zip(sites, values[:, quantity], strict=True))
            if at != left_out and not math.isnan(value) and math.dist(site, place) <= 25.0
        )[:8]
        weights = [1.0 / distance**2 for distance, _ in near]
        return (
            sum(weight * value for weight, (_, value) in zip(weights, near, strict=True)) / sum(weights)
            if near
            else math.nan
        )

    expected = [[plain(place, quantity, None) for quantity in (0, 1)] for place in places]
    assert weighed(sites, values, places, 25.0) == pytest.approx(np.array(expected), nan_ok=True)
    expected = [[plain(place, quantity, at) for quantity in (0, 1)] for at, place in enumerate(sites)]
    assert weighed(sites, values, sites, 25.0, others=True) == pytest.approx(np.array(expected), nan_ok=True)


def irregular(folder: Path, count: int = 400) -> tuple[Path, np.ndarray]:
    """Random points on the map, with places in metres and rates."""
    random = np.random.default_rng(5)
    places = random.uniform([-170.0, -130.0], [190.0, 150.0], (count, 2))
    rates = [rate_at(x, y) for x, y in places.tolist()]
    rows = [(shapely.Point(place), rate) for place, rate in zip(places.tolist(), rates, strict=True)]
    return write_points(folder, rows), np.column_stack([places, rates])


def test_irregular_points_become_means_of_cells(tmp_path: Path) -> None:
    layer, points = irregular(tmp_path)
    made = taskdata.ratemap(
        layer, tmp_path / "out", unit="L/ha", column="rate", boundary=write_field(tmp_path), form="grid2", cell_m=20.0
    )
    assert made.method_error is not None
    assert 0.0 < made.method_error < 45.0
    assert "inverse square" in made.method
    cells, rates = stored(tmp_path / "out").cells()
    met = 0
    for cell, (raw,) in zip(cells, rates, strict=True):
        inside = points[shapely.contains_xy(cell, points[:, 0], points[:, 1])]
        ground = shapely.intersection(cell, FIELD).area
        if len(inside) and ground > 1.0:
            met += 1
            assert raw / 10_000 == pytest.approx(inside[:, 2].mean(), abs=0.01)
        elif ground > 1.0:
            assert 149.0 <= raw / 10_000 <= 241.0
    assert met > 100
    assert made.bill[0].after == pytest.approx(made.bill[0].before, rel=1e-4)


def test_points_far_from_the_field_leave_gaps(tmp_path: Path) -> None:
    rows = [
        (shapely.Point(x, y), {"rate": 100.0})
        for x, y in [(-120, -60), (-110, -52), (-121, -41), (-98, -70), (-90, -50)]
    ]
    made = taskdata.ratemap(
        write_layer(tmp_path / "few.geojson", rows),
        tmp_path / "out",
        unit="kg/ha",
        column="rate",
        boundary=write_field(tmp_path),
        form="grid2",
        cell_m=10.0,
    )
    assert {item.rate for item in made.rates} == {0.0, 100.0}
    assert made.rates[0].area_m2 > made.rates[1].area_m2


def test_irregular_points_alone_make_no_field(tmp_path: Path) -> None:
    layer, _ = irregular(tmp_path)
    with pytest.raises(UsageError, match="irregular points have no ground of their own"):
        taskdata.ratemap(layer, tmp_path / "out", unit="L/ha", column="rate")


def test_points_on_one_place_need_a_side_of_cells(tmp_path: Path) -> None:
    rows = [(shapely.Point(10, 10), {"rate": rate}) for rate in (100.0, 200.0)]
    wish = {"unit": "kg/ha", "column": "rate", "boundary": write_field(tmp_path), "dry_run": True}
    layer = write_layer(tmp_path / "one.geojson", rows)
    with pytest.raises(UsageError, match="how wide cells are is not known"):
        taskdata.ratemap(layer, tmp_path / "out", **wish)
    found = taskdata.ratemap(layer, tmp_path / "out", cell_m=10.0, **wish)
    assert {0.0, 150.0} <= {item.rate for item in found.rates}
    assert found.method_error is None


def test_cells_of_the_map_itself_keep_its_rates(tmp_path: Path) -> None:
    """Without a machine or a guidance line the cells are those of the lattice, which lies to the north."""
    rows = [(shapely.Point(x * 10.0, y * 10.0), {"rate": 100.0 + x}) for x in range(6) for y in range(5)]
    layer = write_layer(tmp_path / "lattice.geojson", rows)
    made = taskdata.ratemap(layer, tmp_path / "out", unit="kg/ha", column="rate", form="grid2")
    assert [item.rate for item in made.rates if item.area_m2 > 100.0] == pytest.approx(
        [100 + x for x in range(6)], abs=0.1
    )
    assert any(note == "cell" and fact == "10 m wide, those of the map" for note, fact in made.notes)


def test_a_lattice_alone_makes_a_field(tmp_path: Path) -> None:
    rows = [(shapely.Point(x * 10.0, y * 10.0), {"rate": 100.0 + x}) for x in range(6) for y in range(5)]
    layer = write_layer(tmp_path / "lattice.geojson", rows)
    made = taskdata.ratemap(layer, tmp_path / "out", unit="kg/ha", column="rate")
    assert taskdata.read(tmp_path / "out").fields[0].name == "lattice"
    assert made.bill[0].area_m2 == pytest.approx(3000.0, rel=1e-5)
    assert made.bill[0].after == pytest.approx(102.5 * 0.3, rel=1e-5)
    outline = shapely.Polygon(taskdata.read(tmp_path / "out").fields[0].boundaries[0].exteriors[0])
    assert metres(outline).bounds == pytest.approx((-5.0, -5.0, 55.0, 45.0), abs=0.01)

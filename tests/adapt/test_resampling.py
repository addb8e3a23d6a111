"""Larger cells and classes of a map, against areas by shapely of cells whose area geographiclib gives."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from taskdata.adapt.cells import CellMap, Mix, of_values, values_of
from taskdata.adapt.classing import classed
from taskdata.adapt.receivers import to_receiver
from taskdata.adapt.resampling import averaged, coarser, laid_over
from taskdata.errors import TargetError
from taskdata.isoxml.binary.grid import Grid, GridPlacement, encode
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.model.receiver import Receiver
from tests.adapt.sets import made, whats, written
from tests.adapt.test_receivers import left

VOLUME, DEPTH = "0001", "0038"


def placement(columns: int, rows: int) -> GridPlacement:
    return GridPlacement(Decimal("54.3"), Decimal("7.01"), Decimal("0.000045"), Decimal("0.000077"), columns, rows)


def setpoint(ddi: str) -> Element:
    return Element("PDV", {"A": ddi, "B": "0"})


def boxes(place: GridPlacement) -> list[shapely.Polygon]:
    """Return the cells in file order."""
    return [shapely.Polygon(ring) for ring in place.corners()]


def area(box: shapely.Polygon) -> float:
    """Return the geodesic area in m² by geographiclib."""
    polygon = Geodesic.WGS84.Polygon()
    for x, y in list(box.exterior.coords)[:-1]:
        polygon.AddPoint(y, x)
    return abs(polygon.Compute()[2])


def covered(old: GridPlacement, new: GridPlacement) -> NDArray[np.float64]:
    """Return how many m² of each old cell each new cell covers, (new, old)."""
    before, after = np.array(boxes(old)), np.array(boxes(new))
    shares = shapely.area(shapely.intersection(after[:, None], before)) / shapely.area(before)
    return shares * np.array([area(box) for box in before])


sizes = st.tuples(st.integers(1, 9), st.integers(1, 9), st.integers(1, 9), st.integers(1, 9), st.integers(0, 2**32 - 1))


@settings(max_examples=40, deadline=None)
@given(sizes)
def test_rates_per_area_are_means_by_area(size: tuple[int, int, int, int, int]) -> None:
    columns, rows, most_columns, most_rows, seed = size
    values = np.random.default_rng(seed).integers(0, 40_000, (rows, columns, 1), dtype=np.int32)
    old = of_values(placement(columns, rows), values, [setpoint(VOLUME)])
    new = averaged(old, most_columns, most_rows)
    assert (new.placement.columns, new.placement.rows) == (min(columns, most_columns), min(rows, most_rows))
    ground = covered(old.placement, new.placement)
    means = ground @ values.ravel() / ground.sum(axis=1)
    found = values_of(new).ravel()
    assert np.abs(found - means).max() <= 0.5 + 1e-3
    assert all(value <= values.ravel()[part > 1e-6].max() for value, part in zip(found, ground, strict=True))
    sums = found @ [area(box) for box in boxes(new.placement)], values.ravel() @ ground.sum(axis=0)
    assert sums[0] == pytest.approx(sums[1], rel=1e-4, abs=0.6 * ground.sum())
    assert ground.sum(axis=0) == pytest.approx([area(box) for box in boxes(old.placement)])


@settings(max_examples=40, deadline=None)
@given(sizes)
def test_zones_are_those_of_the_largest_part(size: tuple[int, int, int, int, int]) -> None:
    columns, rows, most_columns, most_rows, seed = size
    index = np.random.default_rng(seed).integers(-1, 3, (rows, columns))
    new = coarser(CellMap(placement(columns, rows), index, (Mix(()),) * 3), most_columns, most_rows)
    ground = covered(placement(columns, rows), new.placement)
    for found, parts in zip(new.index.ravel(), ground, strict=True):
        by_zone = [parts[index.ravel() == zone].sum() for zone in range(-1, 3)]
        assert by_zone[found + 1] >= max(by_zone) - 1e-3


def test_two_by_two_cells_by_hand() -> None:
    values = np.array([[[100], [200], [900]], [[300], [400], [1]]], dtype=np.int32)
    new = averaged(of_values(placement(3, 2), values, [setpoint(VOLUME)]), 1, 1)
    assert values_of(new).ravel().tolist() == [pytest.approx(1901 / 6, abs=1)]
    depths = averaged(of_values(placement(3, 2), values // 300, [setpoint(DEPTH)]), 1, 1)
    assert values_of(depths).ravel().tolist() == [0]
    pair = of_values(placement(3, 1), values[:1], [setpoint(VOLUME)])
    assert values_of(averaged(pair, 2, 9)).ravel().tolist() == [133, 667]
    assert values_of(pair)[:, :, 0].tolist() == [[100, 200, 900]]
    assert laid_over(averaged(pair, 2, 9), pair).tolist() == [[0, 1, 1]]


def grid_set(kind: int, cells: NDArray[np.generic], zones: str, code: str = "") -> Document:
    rows, columns = cells.shape[:2]
    cell = f'<GRD A="54.3" B="7.01" C="0.000045" D="0.000077" E="{columns}" F="{rows}" G="GRD00001" I="{kind}"{code}/>'
    return made(4, f'<TSK A="TSK1" B="Karte" G="1">{zones}{cell}</TSK>', GRD00001=encode(Grid.complete(cells)))


CODES = np.array([[1, 1, 2, 2], [1, 2, 2, 3]], dtype=np.uint8)
ZONES = "".join(f'<TZN A="{code}"><PDV A="0001" B="{rate}"/></TZN>' for code, rate in ((1, 100), (2, 200), (3, 300)))


def test_a_grid_of_codes_that_is_too_large_gets_larger_cells_or_polygons() -> None:
    document = grid_set(1, CODES, ZONES)
    result, ledger = to_receiver(document, Receiver({"limits.grid_columns": 2}))
    assert left(result, Receiver({"limits.grid_columns": 2})) == []
    grid = to_dataset(written(result)).tasks[0].grid
    assert grid is not None
    assert grid.cells.tolist() == [[1, 2], [1, 2]]
    assert "4 x 2 cells of task 'Karte' become 2 x 2 larger ones" in whats(ledger)
    assert "zone 3 in larger cells: another zone applies on 25 m² of it; 25 m² becomes 0 m², -100.00 %" in whats(ledger)
    assert round(area(boxes(placement(1, 1))[0])) == 25
    result, ledger = to_receiver(document, Receiver({"limits.grid_columns": 2, "takes.polygon_zones": True}))
    task = to_dataset(written(result)).tasks[0]
    assert task.grid is None
    assert sum(len(zone.areas) for zone in task.zones) == 3
    assert "become" in whats(ledger)


def test_a_grid_of_rates_that_is_too_large_keeps_its_sum() -> None:
    values = np.array([[[100], [200], [900], [500]]], dtype=np.int32)
    document = grid_set(2, values, '<TZN A="1"><PDV A="0001" B="0" C="PDT1"/></TZN>', ' J="1"')
    result, ledger = to_receiver(document, Receiver({"limits.grid_columns": 2, "limits.grid_rows": 5}))
    grid = to_dataset(written(result)).tasks[0].grid
    assert grid is not None
    assert grid.cells.ravel().tolist() == [150, 700]
    told = "DDI 0001 of PDT1 in larger cells: 0.01 L/ha to 0.09 L/ha becomes 0.015 L/ha to 0.07 L/ha"
    assert f"{told}; area x rate +0.00 %" in whats(ledger)
    assert "100.0 % of the area is off by more than a tenth" in whats(ledger)
    codes = Receiver({"limits.grid_columns": 3, "takes.grid_type_2": False})
    result, _ = to_receiver(document, codes)
    task = to_dataset(written(result)).tasks[0]
    assert {item.value for zone in task.zones for item in zone.setpoints} <= {100, 200, 900, 500}
    assert left(result, codes) == []


@pytest.mark.parametrize("values", [{"limits.grid_columns": 0, "takes.polygon_zones": False}, {"limits.grid_rows": 1}])
def test_cells_that_would_be_no_map_are_refused_in_one_line(values: dict[str, object]) -> None:
    document = grid_set(1, np.tile(CODES, (40, 1)), ZONES)
    with pytest.raises(TargetError, match="the grid of TSK1") as caught:
        to_receiver(document, Receiver(values))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("side", ["0", "-0.000045", "NaN", "Infinity", "x", ""])
def test_cells_of_no_size_are_refused_in_one_line(side: str) -> None:
    document = grid_set(1, CODES, ZONES)
    document.by_tag["GRD"][0].set("GridCellEastSize", side)
    with pytest.raises(TargetError, match="the grid of TSK1 cannot be read"):
        to_receiver(document, Receiver({"limits.grid_columns": 2}))


@pytest.mark.parametrize(("kind", "cells"), [(1, CODES), (2, CODES[:, :, None].astype(np.int32) * 100)])
def test_cells_beyond_a_pole_do_no_harm(kind: int, cells: NDArray[np.generic]) -> None:
    document = grid_set(kind, cells, ZONES, ' J="1"' if kind == 2 else "")
    document.by_tag["GRD"][0].set("GridMinimumNorthPosition", "89.99999")
    result, _ = to_receiver(document, Receiver({"limits.grid_rows": 1}))
    grid = to_dataset(written(result)).tasks[0].grid
    assert grid is not None
    assert grid.cells.shape[:2] == (1, 4)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(2, 60), st.integers(1, 2))
def test_classes_keep_sums_and_change_no_rate_by_more_than_a_tenth(seed: int, most: int, layers: int) -> None:
    rng = np.random.default_rng(seed)
    values = rng.integers(10_000, 20_000, (20, 12, layers), dtype=np.int32)
    values[rng.random((20, 12)) < 0.2] = 0
    old = of_values(placement(12, 20), values, [setpoint(VOLUME)] * layers)
    new = classed(old, most)
    if new is None:
        assert layers == 2 or most < 12  # ten classes of a tenth of the smallest rate, one more for 0
        return
    assert len(new.mixes) <= most
    found = values_of(new)
    assert ((found == 0) == (values == 0)).all()
    assert (np.abs(found - values) <= 0.1 * values).all()
    areas = np.array([area(box) for box in boxes(old.placement)])
    for layer in range(layers):
        before, after = (side[:, :, layer].ravel() @ areas for side in (values, found))
        assert after == pytest.approx(before, abs=0.5 * areas.sum())


def test_more_rates_than_codes_become_classes_in_a_grid_of_codes_and_in_polygons() -> None:
    values = np.arange(10_000, 10_400, dtype=np.int32).reshape(20, 20, 1)
    document = grid_set(2, values, '<TZN A="1"><PDV A="0001" B="0"/></TZN>', ' J="1"')
    result, ledger = to_receiver(document, Receiver({"takes.grid_type_2": False}))
    task = to_dataset(written(result)).tasks[0]
    assert task.grid is not None
    rates = {zone.code: zone.setpoints[0].value for zone in task.zones}
    off = [abs(rates[code] - value) for code, value in zip(task.grid.cells.ravel(), values.ravel(), strict=True)]
    assert max(off) == 1
    assert "400 different rates of task 'Karte' become 255" in whats(ledger)
    assert "DDI 0001 in classes: 1 L/ha to 1.0399 L/ha becomes 1 L/ha to 1.0399 L/ha; area x rate" in whats(ledger)
    result, _ = to_receiver(document, Receiver({"takes.grid_type_2": False, "takes.grid_type_1": False}))
    assert len(to_dataset(written(result)).tasks[0].zones) == 255
    wild = grid_set(2, np.geomspace(1, 2e9, 400).astype(np.int32).reshape(20, 20, 1), ZONES, ' J="1"')
    with pytest.raises(TargetError, match="needs more zones than the 255"):
        to_receiver(wild, Receiver({"takes.grid_type_2": False}))


def test_ground_without_a_rate_that_gets_one_is_told() -> None:
    """A strip of three cells of 25 m² is to be left untreated; one of them shares its new cell with a rate."""
    values = np.array([[[0], [0], [0], [900]]], dtype=np.int32)
    document = grid_set(2, values, '<TZN A="1"><PDV A="0001" B="0"/></TZN>', ' J="1"')
    result, ledger = to_receiver(document, Receiver({"limits.grid_columns": 2}))
    grid = to_dataset(written(result)).tasks[0].grid
    assert grid is not None
    assert grid.cells.ravel().tolist() == [0, 450]
    assert "; 25 m² that had 0 get a rate" in whats(ledger)

"""Quadrilaterals clipped to the cells of a grid, against shapely's intersections."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from taskdata.geometry import cells
from taskdata.geometry.cells import CellGrid, cell_sums


def table(quads, weights, grid) -> np.ndarray:
    whole = np.zeros((len(weights), grid.rows, grid.columns))
    for tile in cell_sums(quads, weights, grid):
        rows, columns = tile.sums.shape[1:]
        whole[:, tile.row : tile.row + rows, tile.column : tile.column + columns] += tile.sums
    return whole


def by_shapely(quads, weights, grid) -> np.ndarray:
    row, column = np.mgrid[: grid.rows, : grid.columns]
    west, north = grid.west + column * grid.cell, grid.north - row * grid.cell
    boxes = shapely.box(west, north - grid.cell, west + grid.cell, north)
    shared = shapely.area(shapely.intersection(boxes[..., np.newaxis], shapely.polygons(quads)))
    return np.einsum("rcm,km->krc", shared, weights)


def stars(seed: int, count: int = 80) -> np.ndarray:
    """Simple quadrilaterals of any size, some with a corner that points inwards."""
    random = np.random.default_rng(seed)
    angle = np.sort(random.uniform(0.0, 2.0 * np.pi, (count, 4)), axis=1)
    reach = random.uniform(0.2, 6.0, (count, 4, 1))
    corners = np.stack([np.cos(angle), np.sin(angle)], axis=-1) * reach
    found = random.uniform(-20.0, 20.0, (count, 1, 2)) + corners
    return found[shapely.is_valid(shapely.polygons(found)) & shapely.is_ccw(shapely.linearrings(found))]


@pytest.mark.parametrize("seed", range(5))
def test_each_cell_holds_what_lies_in_it(seed: int) -> None:
    quads = stars(seed)
    weights = np.random.default_rng(seed).uniform(-3.0, 9.0, (2, len(quads)))
    for size in (0.9, 3.0, 17.0):
        grid = CellGrid.over(quads, size)
        assert table(quads, weights, grid) == pytest.approx(by_shapely(quads, weights, grid), abs=1e-10)


def test_edges_on_the_lines_of_the_grid_belong_to_one_cell() -> None:
    quads = np.array([[[0.0, 0.0], [4.0, 0.0], [4.0, 2.0], [0.0, 2.0]]])
    grid = CellGrid.over(quads, 2.0)
    assert (grid.columns, grid.rows, grid.west, grid.north) == (2, 1, 0.0, 2.0)
    assert table(quads, np.array([[5.0]]), grid).tolist() == [[[20.0, 20.0]]]


def test_the_grid_may_be_smaller_than_what_lies_on_it_and_larger_than_a_tile(monkeypatch) -> None:
    quads = stars(3)
    weights = np.ones((1, len(quads)))
    monkeypatch.setattr(cells, "TILE", 7)
    monkeypatch.setattr(cells, "_BATCH", 50)
    for grid in (CellGrid.over(quads, 0.7), CellGrid(-5.0, 8.0, 1.0, 11, 9)):
        assert table(quads, weights, grid) == pytest.approx(by_shapely(quads, weights, grid), abs=1e-10)


def test_nothing_is_lost_of_many_far_from_the_origin() -> None:
    quads = stars(4) * 0.3 + np.array([8000.0, -9000.0])
    rates = np.random.default_rng(4).uniform(0.0, 300.0, (1, len(quads)))
    total = float((rates * shapely.area(shapely.polygons(quads))).sum())
    for size in (0.05, 1.0, 400.0):
        assert table(quads, rates, CellGrid.over(quads, size)).sum() == pytest.approx(total, rel=1e-9)

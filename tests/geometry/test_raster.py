"""The raster against closed forms, within the uncertainty it states."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from taskdata.geometry import raster, sweeps
from tests.geometry.drives import around, bar, counted, drives


def box(x, y, width, height, degrees=0.0):
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float)
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return corners @ np.array([[cosine, sine], [-sine, cosine]]) + (x, y)


@given(st.floats(0, 90), st.floats(0, 1), st.floats(1, 40), st.floats(1, 40), st.sampled_from([0.1, 0.25, 0.5]))
def test_rectangles_are_within_their_uncertainty(angle, x, width, height, cell):
    found = raster.count(np.array([box(x, 0.3, width, height, angle)]), cell)
    assert abs(found.area(1) - width * height) <= found.uncertainty(1)
    assert found.uncertainty(1) < 6.0 * cell**2 + 3.0 * cell * (width + height)


def test_the_uncertainty_falls_with_the_cell():
    quads = sweeps.pieces(around(40.0, [-3.0, 3.0], 300.0, 200)).quads
    exact = sweeps.areas(quads).sum()
    coarse, fine = (raster.count(quads, cell) for cell in (0.4, 0.1))
    assert abs(coarse.area(1) - exact) <= coarse.uncertainty(1)
    assert abs(fine.area(1) - exact) <= fine.uncertainty(1)
    assert fine.uncertainty(1) < coarse.uncertainty(1) / 6.0


def test_shared_edges_are_counted_once():
    """A bar of 20 sections: cells on the edges between them belong to exactly one."""
    found = raster.count(sweeps.pieces(around(20.0, np.linspace(-5, 5, 21), 90.0, 50)).quads, 0.25)
    assert found.area(1) > 100.0
    assert found.area(2) == 0.0


def test_applied_counts_every_pass():
    found = raster.count(np.array([box(0, 0, 10, 10), box(5, 0, 10, 10), box(5, 5, 10, 10)]), 0.02)
    assert found.applied == pytest.approx(300.0, abs=0.5)
    assert [found.area(level) for level in (1, 2, 3)] == pytest.approx([200.0, 75.0, 25.0], abs=0.5)
    assert found.area(4) == 0.0


def test_tiles_make_no_difference(monkeypatch):
    quads = sweeps.pieces(around(20.0, [-3.0, -1.0, 3.0], 420.0, 100)).quads
    whole = raster.count(quads, 0.25)
    monkeypatch.setattr(raster, "TILE", 37)
    monkeypatch.setattr(raster, "_BATCH", 100)
    assert raster.count(quads, 0.25).areas.tolist() == whole.areas.tolist()


def test_pieces_far_apart_cost_no_more_than_their_own_tiles():
    quads = np.array([box(0, 0, 10, 10), box(9e6, 9e6, 10, 10)])
    assert raster.count(quads, 0.1).area(1) == pytest.approx(200.0, abs=1.0)


def test_polygons_are_the_cells():
    found = raster.count(sweeps.pieces(around(8.0, [-3.0, 3.0], 400.0, 100)).quads, 0.1, keep=True)
    for level in (1, 2):
        shape = found.geometry(level)
        assert shape.is_valid
        assert shape.area == pytest.approx(found.area(level), rel=1e-9)
    ring = shapely.Point(0, 0).buffer(11, quad_segs=25).difference(shapely.Point(0, 0).buffer(5, quad_segs=25))
    assert shapely.hausdorff_distance(found.geometry(1).boundary, ring.boundary) < 0.1 * math.sqrt(2)


def test_polygons_need_the_cells():
    with pytest.raises(ValueError, match="keep=True"):
        raster.count(np.array([box(0, 0, 1, 1)])).geometry(1)


@pytest.mark.parametrize("cell", [0.0, -1.0, math.nan])
def test_a_cell_needs_a_size(cell):
    with pytest.raises(ValueError, match="cell"):
        raster.count(np.array([box(0, 0, 1, 1)]), cell)


def test_nothing_swept():
    found = raster.count(np.empty((0, 4, 2)), keep=True)
    assert found.area(1) == 0.0
    assert found.uncertainty(1) == found.uncertainty(5) == pytest.approx(6.0 * 0.25**2)
    assert found.geometry(1).is_empty
    standing = bar(np.zeros((3, 2)), np.zeros(3), [-1.0, 1.0])
    assert raster.count(sweeps.pieces(standing).quads).area(1) == 0.0


@given(drives())
def test_any_drive_agrees_with_points_counted_in_its_outlines(strips):
    if not strips.active.any():
        return
    found = raster.count(sweeps.pieces(strips).quads, 0.1)
    areas = counted(strips, 0.1, found.angle)
    for level in (1, 2, 3):  # the same grid: only places on an edge, but for rounding, may differ
        assert abs(found.area(level) - areas[level:].sum()) < 2.5 * 0.1**2

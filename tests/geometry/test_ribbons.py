"""Ribbons: valid, exact, and few."""

import numpy as np
import pytest
import shapely
from hypothesis import given

from taskdata.geometry import sweeps
from taskdata.geometry.ribbons import broad_quads, polygons, ribbons
from tests.geometry.drives import around, bar, drives


def straight(records, sections):
    path = np.column_stack([np.zeros(records), 2.0 * np.arange(records)])
    return path, np.linspace(-3.0, 3.0, sections + 1)


def test_a_pass_is_one_ribbon():
    path, edges = straight(100, 8)
    found = ribbons(bar(path, np.zeros(100), edges))
    assert len(found) == 1
    assert found[0].area == pytest.approx(6.0 * 198.0, rel=1e-12)


def test_a_section_that_stays_on_is_not_cut_where_another_switches():
    path, edges = straight(100, 4)
    active = np.ones((100, 4), dtype=bool)
    active[:, 1] = False
    active[20:40, 3] = False
    found = ribbons(bar(path, np.zeros(100), edges, active), merge=True)
    lengths = sorted(round(shape.bounds[3] - shape.bounds[1]) for shape in found)
    assert lengths == [40, 40, 118, 198]  # section 0 throughout; 2 and 3 together, 2 alone, 2 and 3 together


def test_strips_apart_from_each_other_are_not_joined():
    path, _ = straight(10, 2)
    strips = sweeps.strips(path, np.zeros(10), [-2.0, 1.0], [-1.0, 2.0], np.ones((10, 2), dtype=bool))
    assert [shape.area for shape in ribbons(strips)] == pytest.approx([18.0, 18.0])


def test_flickering_sections_make_ribbons_of_single_strips():
    """Each section switches at other records, so that joined strips would be cut all the time."""
    path, edges = straight(200, 8)
    active = (np.arange(200)[:, np.newaxis] + np.arange(8)) % 9 != 0
    strips = bar(path, np.zeros(200), edges, active)
    single, joined = ribbons(strips, merge=False), ribbons(strips, merge=True)
    assert len(ribbons(strips)) == len(single)
    assert shapely.get_num_coordinates(single).sum() < shapely.get_num_coordinates(joined).sum()
    assert shapely.area(single).sum() == pytest.approx(shapely.area(joined).sum(), rel=1e-12)


def test_a_loop_that_closes_is_split_and_keeps_both_rounds():
    """Two rounds of 720 degrees cover the annulus, a regular polygon of 90 corners each way, twice."""
    strips = around(20.0, [-3.0, 3.0], 720.0, 180)
    found = ribbons(strips)
    assert len(found) > 1
    assert shapely.is_valid(found).all()
    assert shapely.area(found).sum() == pytest.approx(2 * 90 * (23.0**2 - 17.0**2) / 2 * np.sin(np.pi / 45), rel=1e-12)


def test_a_fold_too_small_to_be_seen_is_mended(monkeypatch):
    """As if the signs of its corners had been lost in rounding: the outline crosses itself in the middle."""
    strips = bar(np.array([(0.0, 0.0), (0.0, 2.0)]), [0.0, 180.0], [-1.0, 1.0])
    monkeypatch.setattr(sweeps, "motions", lambda given: np.full(given.active.shape, sweeps.FORWARDS, dtype=np.int8))
    found = ribbons(strips)
    assert shapely.is_valid(found).all()
    assert shapely.area(found).tolist() == pytest.approx([1.0, 1.0])


def test_nothing_active_gives_no_ribbon():
    path, edges = straight(5, 2)
    assert len(ribbons(bar(path, np.zeros(5), edges, np.zeros((5, 2), dtype=bool)))) == 0


@given(drives())
def test_ribbons_are_valid_and_stand_for_the_pieces(strips):
    pieces = polygons(sweeps.pieces(strips).quads)
    for merge in (True, False, None):
        found = ribbons(strips, merge=merge)
        assert shapely.is_valid(found).all()
        assert shapely.area(found).sum() == pytest.approx(float(shapely.area(pieces).sum()), rel=1e-9, abs=1e-12)


@given(drives())
def test_broad_quadrilaterals_have_the_area_of_the_pieces_in_no_more_parts(strips):
    broad, single = broad_quads(strips), sweeps.pieces(strips).quads
    assert len(broad) <= len(single)
    assert sweeps.areas(broad).sum() == pytest.approx(sweeps.areas(single).sum(), rel=1e-9, abs=1e-9)
    assert (sweeps.areas(broad) >= 0.0).all()

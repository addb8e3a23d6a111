"""Coverage of drives whose areas are known from elementary geometry."""

from __future__ import annotations

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from taskdata.geometry.plane import LocalPlane
from tests.fieldwork import build
from tests.heavy import HEAVY

WIDTHS = [3000, 3000, 2500, 2500, 2000, 2500, 2500, 3000, 3000]
ALL_ON = {(161, "DET21"): build.condensed([1] * 9)}


def test_a_straight_pass_covers_a_rectangle() -> None:
    found = build.covered([build.log(build.straight(200.0), ALL_ON)], [build.sprayer(WIDTHS)])
    assert found.areas.worked_m2 == pytest.approx(24.0 * 200.0, rel=1e-6)
    assert found.areas.applied_m2 == pytest.approx(24.0 * 200.0, rel=1e-6)
    assert found.areas.double_m2 == pytest.approx(0.0, abs=1e-6)
    # The log begins and ends at work: 1 m of the bar may be missing before its first record, and after its last.
    assert found.areas.uncertainty_m2 == pytest.approx(2.0 * 24.0 * 1.0, abs=0.01)
    assert build.rings(found, "worked") == pytest.approx(24.0 * 200.0, rel=1e-6)
    assert found.figures.distance_m == pytest.approx(200.0, rel=1e-6)
    assert (found.figures.working_time_s, found.figures.width_m) == (200.0, pytest.approx(24.0))
    assert found.figures.capacity_ha_h == pytest.approx(24.0 * 3.6 / 10.0, rel=1e-6)
    assert found.figures.efficiency == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize(("count", "spacing", "width"), [(5, 10.0, 12.0), (4, 12.0, 12.0), (6, 5.0, 12.0)])
def test_passes_overlap_by_width_less_spacing(count: int, spacing: float, width: float) -> None:
    log = build.passes(count, spacing, 150.0)
    machine = build.sprayer([round(1000 * width / 2)] * 2)
    for cell in (None, 0.2):
        found = build.covered([log], [machine], cell_m=cell)
        double = (count - 1) * (width - spacing) if spacing >= width / 2 else (count - 2) * spacing + width - spacing
        triple = max(0.0, (count - 2) * (width - 2 * spacing))
        margin = max(found.areas.uncertainty_m2, 0.01)
        assert found.areas.worked_m2 == pytest.approx(150.0 * ((count - 1) * spacing + width), abs=margin)
        assert found.areas.double_m2 == pytest.approx(150.0 * double, abs=margin)
        assert found.areas.triple_m2 == pytest.approx(150.0 * triple, abs=margin)
        assert found.areas.applied_m2 == pytest.approx(150.0 * count * width, abs=2 * margin)


def test_what_lies_between_passes_and_in_no_pass_is_missed() -> None:
    hole = [(12.0, 40.0), (17.0, 40.0), (17.0, 50.0), (12.0, 50.0)]
    field = build.field([(-6.0, 0.5), (40.0, 0.5), (40.0, 99.5), (-6.0, 99.5)], hole)
    found = build.covered([build.passes(3, 13.0, 100.0)], [build.sprayer([6000, 6000])], [field], ignore_under_m2=0.5)
    # Three passes of 12 m over a field of 46 m: gaps of 1 m, 1 m and 8 m; the hole lies in the second pass.
    assert found.field == "PFD1"
    assert found.areas.field_m2 == pytest.approx(46.0 * 99.0 - 50.0, rel=1e-5)
    assert found.areas.missed_m2 == pytest.approx(99.0 * (1.0 + 1.0 + 8.0), rel=1e-4)
    assert found.areas.outside_m2 == pytest.approx(50.0 + 36.0, rel=1e-3)
    assert build.rings(found, "missed") == pytest.approx(990.0, rel=1e-4)
    assert len(found.ground["missed"].geoms) == 3
    assert found.areas.worked_m2 == pytest.approx(3600.0, rel=1e-6)


def test_small_places_are_counted_but_not_drawn() -> None:
    field = build.field([(-6.0, 0.0), (18.005, 0.0), (18.005, 100.0), (-6.0, 100.0)])
    parts = [build.passes(2, 12.005, 100.0)], [build.sprayer([12000])], [field]
    found = build.covered(*parts, ignore_under_m2=1.0)
    assert found.areas.missed_m2 == pytest.approx(0.5, abs=0.2)
    assert found.areas.missed_places == found.areas.missed_ignored
    assert (found.areas.missed_places or 0) > 0
    assert found.ground["missed"].is_empty
    assert not build.covered(*parts, ignore_under_m2=0.0).ground["missed"].is_empty


def circle(radius: float, turns: float, steps: int) -> np.ndarray:
    angle = np.arange(round(turns * steps) + 1) * 2 * np.pi / steps
    return np.column_stack([-radius * np.cos(angle), radius * np.sin(angle)])


def test_a_circle_covers_an_annulus() -> None:
    places = circle(60.0, 1.1, 750)
    turn = 2 * np.pi / 750
    state = ((np.arange(len(places)) >= 20) & (np.arange(len(places)) < 770)).astype(int)
    found = build.covered([build.log(places, {(141, "DET21"): state})], [build.sprayer(WIDTHS)])
    polygon = np.sin(turn) / turn  # a circle of straight steps has less area than its arcs
    assert found.areas.worked_m2 == pytest.approx(np.pi * (72.0**2 - 48.0**2) * polygon, rel=2e-5)
    assert abs(found.areas.worked_m2 - np.pi * (72.0**2 - 48.0**2)) < found.areas.uncertainty_m2
    assert found.figures.distance_m == pytest.approx(2 * np.pi * 60.0, rel=1e-4)


@pytest.mark.parametrize("cell", [0.25, 2.0])
def test_the_raster_states_what_it_leaves_open_of_each_kind(cell: float) -> None:
    """Passes of 12 m at 10 m, at several headings, in a field that they reach over on three sides."""
    for heading in np.radians(np.linspace(1.0, 88.0, 8 if HEAVY else 3)):
        turn = np.array([[np.cos(heading), -np.sin(heading)], [np.sin(heading), np.cos(heading)]])

        def place(metres: object, turn: np.ndarray = turn) -> np.ndarray:
            return LocalPlane(build.LON, build.LAT).inverse(np.asarray(metres, dtype=float) @ turn)

        ways = [build.straight(80.0, x=10.0 * number, back=number % 2 == 1) for number in range(3)]
        state = np.tile(np.append(np.ones(80, dtype=int), 0), 3)
        seconds = np.concatenate([np.arange(81) + 111 * number for number in range(3)])
        log = build.log(np.concatenate(ways), {(141, "DET21"): state}, seconds=seconds, place=place)
        ground = build.field([(-5, 5), (40, 5), (40, 70), (-5, 70)], place=place)
        found = build.covered([log], [build.sprayer([12000])], [ground], cell_m=cell).areas
        assert found.worked_m2 == pytest.approx(80.0 * 32.0, abs=found.uncertainty_m2)
        assert found.double_m2 == pytest.approx(80.0 * 4.0, abs=found.double_uncertainty_m2)
        assert found.missed_m2 == pytest.approx(65.0 * 14.0, abs=found.uncertainty_m2)
        assert found.outside_m2 == pytest.approx(80.0 * 32.0 - 65.0 * 31.0, abs=found.uncertainty_m2)


@pytest.mark.parametrize("steps", [30, 60, 120, 750])
@pytest.mark.parametrize("radius", [60.0, -60.0])
def test_an_implement_to_one_side_covers_its_own_annulus(radius: float, steps: int) -> None:
    """A mower 10 m to the right on three quarters of a circle, which begins and ends in the bend."""
    angle = np.linspace(0.0, 1.5 * np.pi, steps + 1)
    places = np.column_stack([-radius * np.cos(angle), abs(radius) * np.sin(angle)])
    log = build.log(places, place=LocalPlane(build.LON, build.LAT).inverse)
    implement = by_hand(width_m=6.0, offset_right_m=10.0, offset_back_m=0.0)
    found = build.covered(build.dataset([log]), implement=implement).areas
    middle = abs(radius) - np.copysign(10.0, radius)
    true = 0.75 * np.pi * ((middle + 3.0) ** 2 - (middle - 3.0) ** 2)
    assert abs(found.worked_m2 - true) < 1.02 * found.uncertainty_m2
    if steps > 30:  # steps of 9 m are too long to tell how the path goes on at its ends
        assert found.worked_m2 == pytest.approx(true, rel=1.5e-3)


def test_a_drawn_implement_runs_on_a_smaller_circle() -> None:
    # Steady state of a tractrix: the axle of a body of length L on a hitch at radius R runs at the root of R² - L².
    places = circle(20.0, 3.0, 250)
    state = (np.arange(len(places)) >= 500).astype(int)
    log = build.log(places, {(141, "DET21"): state})
    found = build.covered([log], [build.sprayer([3000, 3000])], implement=by_hand(offset_back_m=0.0, trailed_m=8.0))
    assert found.areas.applied_m2 == pytest.approx(2 * np.pi * np.sqrt(20.0**2 - 8.0**2) * 6.0, rel=2e-3)
    assert "follows its hitch" in found.method
    assert abs(found.areas.applied_m2 / (2 * np.pi * 20.0 * 6.0) - 1.0) > 0.05


def by_hand(**metres: float):
    from taskdata import Implement

    return Implement(**metres)


@pytest.mark.parametrize("latitude", [0.0, 45.0, 65.0])
def test_areas_of_large_fields_are_those_on_the_ellipsoid(latitude: float) -> None:
    # geographiclib: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013).
    def place(metres: object) -> np.ndarray:
        return build.degrees(metres, lat=latitude)

    lap = np.concatenate([build.straight(5000.0, 10.0, x=x) for x in (-2500.0, 2500.0)])
    on = np.ones(len(lap), dtype=int)
    on[len(lap) // 2 - 1] = 0
    log = build.log(lap - [0.0, 2500.0], {(141, "DET21"): on}, place=place)
    found = build.covered([log], [build.sprayer([25000, 25000])])
    expected = 0.0
    for x in (-2500.0, 2500.0):
        middle = place([(x, -2500.0), (x, 2500.0)])
        polygon = Geodesic.WGS84.Polygon()
        line = Geodesic.WGS84.Inverse(middle[0][1], middle[0][0], middle[1][1], middle[1][0])
        for (lon, lat), azimuth in zip(middle, (line["azi1"], line["azi2"]), strict=True):
            sides = (-90, 90) if len(polygon_points(polygon)) == 0 else (90, -90)
            for side in sides:
                corner = Geodesic.WGS84.Direct(lat, lon, azimuth + side, 25.0)
                polygon.AddPoint(corner["lat2"], corner["lon2"])
        expected += abs(polygon.Compute()[2])
    assert found.areas.worked_m2 == pytest.approx(expected, rel=1e-6)
    assert found.figures.distance_m == pytest.approx(10_000.0, rel=1e-6)


def polygon_points(polygon: object) -> range:
    return range(polygon.num)  # type: ignore[attr-defined]

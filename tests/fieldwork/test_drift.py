"""Shifts between two sets: found, bounded, and not made up where nothing tells."""

from dataclasses import replace

import numpy as np
import pytest

import taskdata
from taskdata.fieldwork.drift.common_lines import paired
from taskdata.fieldwork.drift.moving import Scope, moved
from taskdata.fieldwork.drift.set_drift import estimate_drift, passes_drift
from taskdata.fieldwork.driving.splitting import split
from taskdata.geometry.plane import LocalPlane
from taskdata.model.fields import Field, GuidanceKind
from taskdata.model.logs import Log, LogRecords
from taskdata.model.shapes import Line, LineKind, Point, PointKind
from taskdata.model.tasks import Task
from tests.fieldwork.lindhollen import PLANE, ab, area, box, farm, field, line, metres, serpentine
from tests.heavy import HEAVY
from tests.samples import OFFICE

SHIFT = np.array([0.85, -0.4])
BOX = box(0.0, 0.0, 300.0, 200.0)


def drive(random, *, noise, bias, step=2.5):
    """Passes north and south, then east and west beside them: each errs as a whole besides its noise."""
    along = [item.points for item in split(*serpentine([6.0 * k for k in range(8)], step=step))]
    across = [points[:, ::-1] - [0.0, 50.0] for points in along[:6]]
    return [
        points + random.normal(0.0, noise, points.shape) + random.normal(0.0, 1.0, 2) * bias
        for points in (*along, *across)
    ]


def test_the_drift_of_simulated_drives_lies_within_its_uncertainty_for_95_percent_of_seeds():
    """Noise of 2 cm at each record, an error of 4 cm of each pass as a whole, drift of up to 2 m in any direction."""
    count = 200 if HEAVY else 40
    hits, bounds = 0, []
    for seed in range(count):
        random = np.random.default_rng(seed)
        drift = random.uniform(-1.4, 1.4, 2)
        fixed = drive(random, noise=0.02, bias=0.04)
        moving = [points - drift for points in drive(random, noise=0.02, bias=0.04)]
        found = passes_drift(moving, fixed)
        error = np.abs(np.array([found.east_m, found.north_m]) - drift)
        bound = np.array([found.uncertainty_east_m, found.uncertainty_north_m])
        bounds.append(bound)
        hits += bool((error <= bound).all())
    assert hits >= 0.95 * count, hits
    assert (np.median(bounds, axis=0) < 0.15).all()


def test_along_straight_parallel_passes_nothing_is_made_up():
    random = np.random.default_rng(3)
    fixed = drive(random, noise=0.02, bias=0.0)[:8]
    moving = [points - SHIFT for points in drive(random, noise=0.02, bias=0.0)[:8]]
    found = passes_drift(moving, fixed)
    known, unknown = found.axes
    assert known.heading_deg == pytest.approx(90.0, abs=1.0)
    assert known.value_m == pytest.approx(SHIFT[0], abs=0.02)
    assert known.uncertainty_m < 0.05
    assert (unknown.value_m, unknown.uncertainty_m, found.north_m, found.uncertainty_north_m) == (None,) * 4
    assert abs((found.undetermined_deg[0] + 90.0) % 180.0 - 90.0) < 1.0
    assert found.vector == pytest.approx((SHIFT[0], 0.0), abs=0.02)


def test_oblique_parallel_passes_leave_east_and_north_open_but_not_the_way_across():
    angle = np.radians(30.0)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    random = np.random.default_rng(4)
    fixed = [points @ turn for points in drive(random, noise=0.02, bias=0.0)[:8]]
    found = passes_drift([points - SHIFT for points in fixed], fixed)
    assert (found.east_m, found.north_m) == (None, None)
    assert found.undetermined_deg == pytest.approx((30.0,), abs=1.0)
    across = np.array([np.cos(angle), -np.sin(angle)])
    assert found.axes[0].heading_deg == pytest.approx(120.0, abs=1.0)
    assert found.axes[0].value_m == pytest.approx(SHIFT @ across, abs=0.02)
    assert found.vector == pytest.approx(across * (SHIFT @ across), abs=0.02)


def two_sets(*, shift=SHIFT, noise=0.0):
    """A set, and the same moved."""
    first = farm(
        field(area(BOX, box(100.0, 100.0, 120.0, 130.0)), lines=[ab((10.0, 3.0), (290.0, 3.0))]),
        field(area(box(400.0, 0.0, 500.0, 120.0)), name="Hinterer Kamp", number=2),
    )
    return first, moved(first, *shift, Scope(lines_only=False)).dataset


def test_a_shift_common_to_a_set_is_found_and_named_as_probable_datum_difference():
    first, other = two_sets()
    found = estimate_drift(first, other)
    assert (found.east_m, found.north_m) == pytest.approx(tuple(SHIFT), abs=2e-3)
    assert dict(found.compared) == {"boundary": 3, "line": 1}
    assert (found.share, found.datum, found.undetermined_deg) == (1.0, True, ())


@pytest.mark.parametrize(
    ("shift", "datum"),
    [((0.2, 0.1), False), ((0.4, 0.4), True), ((2.0, 0.0), True), ((0.0, -2.0), True), ((4.0, 0.0), False)],
)
def test_only_shifts_of_the_usual_size_are_probably_a_datum(shift, datum):
    """Common practice: 0.5 to 3 m between frames."""
    found = estimate_drift(*two_sets(shift=shift))
    assert (found.east_m, found.north_m) == pytest.approx(shift, abs=2e-3)
    assert found.datum is datum


def test_one_field_that_was_redrawn_does_not_move_the_others():
    first, other = two_sets()
    odd = field(area(box(403.0, 2.0, 508.0, 125.0)), name="Hinterer Kamp", number=2)
    found = estimate_drift(first, other.with_changes(fields=(other.fields[0], odd)))
    assert (found.east_m, found.north_m) == pytest.approx(tuple(SHIFT), abs=0.02)
    assert found.share == pytest.approx(0.75)
    assert not found.datum


def test_lines_alone_tell_nothing_along_them():
    lines = [ab((10.0, 3.0), (290.0, 3.0), id="GPN1", name="south")]
    lines.append(line(GuidanceKind.A_PLUS, [(10.0, 50.0)], heading_deg=90.0, id="GPN2", name="ahead"))
    first = farm(field(lines=lines))
    other = moved(first, *SHIFT, Scope()).dataset
    found = estimate_drift(first, other)
    assert found.north_m == pytest.approx(SHIFT[1], abs=2e-3)
    assert found.east_m is None
    assert found.undetermined_deg == pytest.approx((90.0,), abs=0.1)


def test_what_one_place_made_does_not_tell_how_well_it_is_known():
    """A centre and a radius, or a place and a heading, are drawn over hundreds of metres; they err as one."""
    pivot = line(GuidanceKind.PIVOT, [(0.0, 0.0)], radius_m=300.0)
    ahead = line(GuidanceKind.A_PLUS, [(10.0, 50.0)], heading_deg=90.0)
    for item in (pivot, ahead):
        found = estimate_drift(*(farm(field(lines=[item])) for item in (item, move_line(item))))
        assert [axis.uncertainty_m for axis in found.axes if axis.value_m is not None] == [None] * (
            2 - len(found.undetermined_deg)
        )


def test_a_pivot_and_points_tell_both_directions():
    pivot = line(GuidanceKind.PIVOT, [(0.0, 0.0)], radius_m=80.0)
    assert estimate_drift(*(farm(field(lines=[item])) for item in (pivot, move_line(pivot)))).undetermined_deg == ()
    marks = [
        Point(PointKind.OBSTACLE, *PLANE.inverse([place])[0], name=str(place)) for place in [(0, 0), (50, 9), (3, 99)]
    ]
    first = farm(replace(field(), points=tuple(marks)))
    found = estimate_drift(first, moved(first, *SHIFT, Scope(lines_only=False)).dataset)
    assert (found.east_m, found.north_m) == pytest.approx(tuple(SHIFT), abs=2e-3)
    assert dict(found.compared) == {"point": 3}


def move_line(item):
    return replace(item, points=PLANE.inverse(metres(item.points) + SHIFT))


def logged(track, seconds):
    """A set with one log."""
    places = PLANE.inverse(track)
    count = len(places)
    time = np.datetime64("2026-04-01T08:00:00", "ms") + (seconds * 1000.0).astype("timedelta64[ms]")
    empty = np.empty(0, dtype=np.int64)
    records = LogRecords(
        time,
        places[:, 0],
        places[:, 1],
        None,
        np.full(count, 4, np.uint8),
        empty,
        empty.astype(np.uint8),
        empty.astype(np.int32),
    )
    return farm(tasks=(Task("TSK1", None, logs=(Log("TLG00001", (), lambda: records),)),))


def test_passes_of_logs_stand_in_where_nothing_else_is_common():
    track, seconds = serpentine([6.0 * k for k in range(10)])
    noisy = track + np.random.default_rng(6).normal(0.0, 0.02, track.shape)
    found = estimate_drift(logged(noisy, seconds), logged(track + SHIFT, seconds))
    assert dict(found.compared) == {"pass": 10}
    assert found.east_m == pytest.approx(SHIFT[0], abs=0.02)
    assert found.north_m is None
    assert found.share == 1.0


def test_nothing_in_common():
    first, _ = two_sets()
    assert estimate_drift(first, farm()) is None
    far = farm(field(area(box(5000.0, 0.0, 5100.0, 100.0))))
    assert estimate_drift(first, far) is None
    assert passes_drift([], [np.zeros((2, 2))]) is None
    assert passes_drift([np.array([(0.0, 0.0), (0.0, 90.0)])], [np.array([(50.0, 0.0), (50.0, 90.0)])]) is None


def test_what_is_the_same_is_told_by_identifier_and_name_then_name_then_identifier():
    here = [Field("PFD1", "a"), Field("PFD2", "b"), Field("PFD3", "c"), Field("PFD4", "x"), Field("PFD5", "x")]
    there = [Field("PFD1", "b"), Field("PFD2", "b2"), Field("PFD3", "c"), Field("PFD7", "a"), Field("PFD4", "y")]
    found = {(one.id, other.id) for one, other in paired(here, there, lambda _: "")}
    assert found == {("PFD3", "PFD3"), ("PFD1", "PFD7"), ("PFD2", "PFD1"), ("PFD4", "PFD4")}


def test_the_sample_set_against_itself_moved():
    first = taskdata.read(OFFICE)
    found = estimate_drift(first, moved(first, *SHIFT, Scope(lines_only=False)).dataset)
    assert (found.east_m, found.north_m) == pytest.approx(tuple(SHIFT), abs=2e-3)
    assert found.datum


@pytest.mark.parametrize("latitude", [0.0, 45.0, -65.0])
def test_every_place_moves_as_a_geodesic_says(latitude):
    """geographiclib (Karney 2013) as second implementation: azimuth and length of the shift, 500 m round the middle."""
    from geographiclib.geodesic import Geodesic

    plane = LocalPlane(179.999, latitude)
    ring = plane.inverse(box(-500.0, -500.0, 500.0, 500.0))
    one = Field("PFD1", "a", boundaries=(replace(area(BOX), exteriors=(ring,), interiors=()),))
    after = moved(farm(one), 30.0, 40.0, Scope(lines_only=False)).dataset.fields[0].boundaries[0].exteriors[0]
    for (lon, lat), (lon_after, lat_after) in zip(ring, after, strict=True):
        assert abs(lon_after - lon) < 1.0
        there = Geodesic.WGS84.Direct(lat, lon, np.degrees(np.arctan2(30.0, 40.0)), 50.0)
        rest = Geodesic.WGS84.Inverse(lat_after, lon_after, there["lat2"], there["lon2"])["s12"]
        turn = 500.0 / 6.36e6 * abs(np.tan(np.radians(latitude)))
        assert rest <= 50.0 * turn * 1.05 + 1e-4


def test_lines_move_alone_and_the_rest_is_the_identical_record():
    drain = Line(LineKind.DRAINAGE, PLANE.inverse([(0, 0), (9, 9)]))
    old = Line(LineKind.GUIDANCE, PLANE.inverse([(0, 0), (9, 9)]))
    first = replace(field(area(BOX), lines=[ab((10.0, 3.0), (290.0, 3.0))], valid=[area(BOX)]), lines=(drain, old))
    result = moved(farm(first), *SHIFT, Scope())
    after = result.dataset.fields[0]
    assert dict(result.counts) == {"lines": 2}
    assert after.boundaries is first.boundaries
    assert after.lines[0] is drain
    assert after.groups[0].boundaries is first.groups[0].boundaries
    for was, now in ((old, after.lines[1]), (first.guidance[0], after.guidance[0])):
        assert metres(now.points) - metres(was.points) == pytest.approx(np.tile(SHIFT, (2, 1)), abs=1e-4)


def test_one_field_moves_alone():
    first, _ = two_sets()
    result = moved(first, *SHIFT, Scope(lines_only=False, field="PFD2"))
    assert result.dataset.fields[0] is first.fields[0]
    assert dict(result.counts) == {"fields": 1, "areas": 1}


def test_places_that_are_none_stay():
    broken = Line(LineKind.GUIDANCE, np.array([(7.0, 54.3), (np.nan, 54.3), (7.001, 54.3)]))
    first = replace(field(area(BOX)), lines=(broken,))
    after = moved(farm(first), 1.0, 0.0, Scope()).dataset.fields[0].lines[0].points
    assert np.isnan(after[1, 0])
    assert after[0, 0] > 7.0
    assert moved(farm(Field("PFD1", "empty")), 1.0, 0.0, Scope(lines_only=False)).counts == {}


def test_the_ground_that_lines_hold_for_moves_with_the_field():
    line = replace(ab((10.0, 3.0), (290.0, 3.0)), boundaries=(area(BOX),))
    first = field(area(BOX), lines=[line], valid=[area(BOX)])
    after = moved(farm(first), *SHIFT, Scope(lines_only=False)).dataset.fields[0]
    for holder in (lambda item: item.groups[0], lambda item: item.groups[0].lines[0]):
        was, now = (holder(item).boundaries[0].exteriors[0] for item in (first, after))
        assert metres(now) - metres(was) == pytest.approx(np.tile(SHIFT, (len(was), 1)), abs=1e-3)

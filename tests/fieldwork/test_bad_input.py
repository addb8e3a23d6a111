"""What is missing is said, and what is left is reckoned."""

from __future__ import annotations

import numpy as np
import pytest

from taskdata import Implement, UsageError, coverage
from taskdata.geometry.plane import LocalPlane
from taskdata.model.logs import Log, Logged
from taskdata.model.machines import Machine
from tests.fieldwork import build

PASS = build.straight(100.0)
BOOM = build.sprayer([6000, 6000])
ON = {(141, "DET21"): 1}
PLANE = LocalPlane(build.LON, build.LAT)
SQUARE = [(-50.0, -10.0), (50.0, -10.0), (50.0, 110.0), (-50.0, 110.0)]


def ids(found) -> list[str]:
    return [note.rule.id for note in found.notes]


def test_nothing_is_noted_on_a_whole_log() -> None:
    assert ids(build.covered([build.log(PASS, ON)], [BOOM], [build.field(SQUARE)])) == ["coverage.no-navigation"]


def test_without_a_width_nothing_is_covered_and_that_is_said() -> None:
    found = build.covered([build.log(PASS)], [Machine("DVC2", parts=(build.part("DET20", 1, 0),))])
    assert ids(found) == ["coverage.no-field", "coverage.no-width"]
    assert (found.areas.worked_m2, found.figures.capacity_ha_h, found.records) == (0.0, None, 101)
    assert found.method.startswith("none")


def test_a_width_by_hand_is_enough_for_a_bare_log() -> None:
    found = build.covered(build.dataset([build.log(PASS)]), implement=Implement(width_m=6.0, offset_back_m=2.0))
    assert found.areas.worked_m2 == pytest.approx(600.0, rel=1e-6)
    assert ids(found) == ["coverage.no-field", "coverage.no-states"]


def test_without_positions_times_are_left() -> None:
    log = build.log(np.full((60, 2), 0.0), ON, status=[0] * 60)
    found = build.covered([log], [BOOM], [build.field(SQUARE)])
    assert "coverage.no-position" in ids(found)
    assert (found.areas.worked_m2, found.figures.working_time_s) == (0.0, 59.0)
    assert (found.areas.missed_m2, found.areas.outside_m2, found.ground) == (None, None, {})


def test_one_position_covers_nothing() -> None:
    found = build.covered([build.log(PASS[:1], ON)], [BOOM])
    assert {"coverage.one-position", "coverage.no-time"} <= set(ids(found))
    assert (found.areas.worked_m2, found.figures.distance_m) == (0.0, 0.0)
    still = build.covered([build.log(np.zeros((30, 2)), ON)], [BOOM])
    assert "coverage.one-position" in ids(still)
    assert (still.areas.worked_m2, still.figures.working_time_s) == (0.0, 29.0)


def test_a_log_without_records_is_nothing_but_no_failure() -> None:
    found = build.covered([build.log(np.empty((0, 2)), ON)], [BOOM], [build.field(SQUARE)])
    assert "coverage.empty-log" in ids(found)
    assert (found.records, found.areas.missed_m2, found.pass_to_pass) == (0, None, None)


def test_without_a_field_missed_is_not_known() -> None:
    found = build.covered([build.log(PASS, ON)], [BOOM])
    assert "coverage.no-field" in ids(found)
    assert (found.field, found.areas.field_m2, found.areas.missed_m2, found.areas.outside_m2) == (None,) * 4
    assert set(found.ground) == {"worked", "double"}


def test_the_field_that_most_positions_lie_in_is_taken_and_named() -> None:
    far = build.field([(500.0, 0.0), (600.0, 0.0), (600.0, 100.0)], identifier="PFD9")
    data = build.dataset([build.log(PASS, ON)], [BOOM], [far, build.field(SQUARE)], task_field=None)
    found = build.covered(data)
    assert (found.field, ids(found)[0]) == ("PFD1", "coverage.guessed-field")
    assert build.covered(data, field="PFD9").areas.outside_m2 == pytest.approx(1200.0, rel=1e-5)


def test_a_field_without_a_boundary_is_said() -> None:
    bare = build.Field("PFD1", "Kuhle")
    found = build.covered([build.log(PASS, ON)], [BOOM], [bare])
    assert (ids(found)[0], found.field, found.areas.missed_m2) == ("coverage.no-boundary", "PFD1", None)


def test_a_log_that_cannot_be_read_is_said() -> None:
    lost = Log("TLG00002", (Logged(141, "DET21"),), lambda: None)
    found = build.covered([build.log(PASS, ON), lost], [BOOM])
    assert "coverage.unreadable-log" in ids(found)
    assert found.areas.worked_m2 == pytest.approx(1200.0, rel=1e-6)
    (alone,) = coverage(build.dataset([lost], [BOOM])).tasks
    assert "coverage.unreadable-log" in ids(alone)


def test_a_task_without_a_log_is_left_out_unless_asked_for() -> None:
    data = build.dataset([], [BOOM])
    assert coverage(data).tasks == ()
    assert ids(build.covered(data, task="TSK1")) == ["coverage.no-field", "coverage.no-log"]


@pytest.mark.parametrize("choice", [{"task": "TSK9"}, {"field": "PFD9"}])
def test_an_unknown_name_is_refused_with_those_there_are(choice: dict[str, str]) -> None:
    with pytest.raises(UsageError, match=r"(There are:|Do you mean) (TSK|PFD)1"):
        coverage(build.dataset([build.log(PASS, ON)], [BOOM], [build.field(SQUARE)]), **choice)


@pytest.mark.parametrize(
    "wrong",
    [
        {"width_m": 0.0},
        {"width_m": -3.0},
        {"width_m": float("nan")},
        {"width_m": float("inf")},
        {"width_m": 1e7},
        {"width_m": 6.0, "overlap_m": 6.0},
        {"overlap_m": -0.1},
        {"overlap_m": 0.1, "skip_m": 0.1},
        {"trailed_m": -1.0},
        {"offset_back_m": float("nan")},
    ],
)
def test_what_no_implement_can_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(UsageError):
        Implement(**wrong)


@pytest.mark.parametrize("wrong", [{"cell_m": 0.0}, {"cell_m": float("nan")}, {"ignore_under_m2": -1.0}])
def test_sizes_that_are_none_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(UsageError):
        coverage(build.dataset([build.log(PASS, ON)], [BOOM]), **wrong)


def test_ground_is_not_invented_where_positions_are_missing() -> None:
    status = np.full(101, 4)
    status[40:60] = 0
    found = build.covered([build.log(PASS, ON, status=status)], [BOOM])
    # From the last position before, at 39 m, to the first after, at 60 m, nothing is known: 21 s at 1 m/s and 12 m.
    assert found.areas.worked_m2 == pytest.approx(12.0 * (100.0 - 21.0), rel=1e-5)
    assert found.figures.working_time_s == 100.0
    assert found.figures.speed_m_s == pytest.approx(1.0, rel=1e-6)
    (gap,) = (note for note in found.notes if note.rule.id == "coverage.position-gap")
    assert (gap.facts["count"], gap.facts["seconds"]) == (1, 21)
    assert gap.facts["area"] == pytest.approx(252.0, rel=0.02)


def test_a_short_gap_is_driven_straight_while_on_throughout() -> None:
    status = np.full(101, 4)
    status[40:43] = 0
    states = np.ones(101, dtype=int)
    assert build.covered([build.log(PASS, ON, status=status)], [BOOM]).areas.worked_m2 == pytest.approx(
        1200.0, rel=1e-5
    )
    states[41] = 0
    log = build.log(PASS, {(141, "DET21"): states}, status=status)
    assert build.covered([log], [BOOM]).areas.worked_m2 == pytest.approx(12.0 * 96.0, rel=1e-5)


@pytest.mark.parametrize("wild", [(0.0, 0.0), (300.0, 10.0), (7.0, 95.0), (float("nan"), 54.3)])
def test_a_wild_position_does_not_count(wild: tuple[float, float]) -> None:
    def place(metres: object) -> np.ndarray:
        found = build.degrees(metres)
        found[50] = wild
        return found

    found = build.covered([build.log(PASS, ON, place=place)], [BOOM])
    assert found.areas.worked_m2 == pytest.approx(1200.0, rel=1e-5)


def test_times_that_stand_still_or_fall_are_no_failure() -> None:
    seconds = np.arange(101.0)
    seconds[30:35] = 29.0
    seconds[70] = 10.0
    found = build.covered([build.log(PASS, ON, seconds=seconds)], [BOOM])
    assert found.areas.worked_m2 == pytest.approx(1200.0, rel=0.1)
    assert found.figures.working_time_s == pytest.approx(100.0)


def test_states_that_are_never_logged_are_as_if_there_were_none() -> None:
    found = build.covered([build.log(PASS, {(141, "DET21"): {}})], [BOOM])
    assert "coverage.no-states" in ids(found)
    assert found.areas.worked_m2 == pytest.approx(1200.0, rel=1e-5)


def test_a_boundary_that_crosses_itself_counts_as_the_ground_it_encloses() -> None:
    bow_tie = build.field([(-20.0, 0.0), (20.0, 100.0), (20.0, 0.0), (-20.0, 100.0)])
    found = build.covered([build.log(PASS, ON)], [BOOM], [bow_tie])
    assert found.areas.field_m2 == pytest.approx(2000.0, rel=1e-4)
    inside = found.areas.worked_m2 - (found.areas.outside_m2 or 0.0)
    assert found.areas.missed_m2 == pytest.approx(2000.0 - inside, rel=1e-4)


def test_a_width_by_hand_keeps_the_states_of_a_machine_without_sections() -> None:
    function = build.part("DET21", 2, 1, 1)
    machine = Machine("DVC2", parts=(build.part("DET20", 1, 0), function))
    log = build.log(PASS, {(141, "DET21"): {0: 0, 30: 1, 80: 0}})
    found = build.covered(build.dataset([log], [machine]), implement=Implement(width_m=6.0))
    assert found.areas.worked_m2 == pytest.approx(300.0, rel=1e-5)
    assert "coverage.no-states" not in ids(found)


@pytest.mark.parametrize(("lon", "lat"), [(179.9999, -17.0), (-179.9999, 66.0), (15.0, 85.0), (-60.0, -33.0)])
def test_work_anywhere_on_earth(lon: float, lat: float) -> None:
    """Half of the passes lie on each side of the antimeridian; four of 6 m at 5.5 m, 100 m long, about a hole."""

    def place(metres: object) -> np.ndarray:
        return build.degrees(metres, lon=lon, lat=lat)

    ways = np.vstack([build.straight(100.0, x=5.5 * number, back=number % 2 == 1) for number in range(4)])
    seconds = np.concatenate([np.arange(101) + 131 * number for number in range(4)])
    log = build.log(ways, {(141, "DET21"): np.tile([1] * 100 + [0], 4)}, seconds=seconds, place=place)
    hole = [(5, 40), (9, 40), (9, 50), (5, 50)]
    field = build.field([(-3, 0), (25, 0), (25, 100), (-3, 100)], hole, place=place)
    found = build.covered([log], [build.sprayer([3000, 3000])], [field]).areas
    assert found.field_m2 == pytest.approx(2760.0, rel=1e-5)
    assert (found.worked_m2, found.double_m2) == (pytest.approx(2250.0, rel=1e-5), pytest.approx(150.0, rel=1e-4))
    assert (found.missed_m2, found.outside_m2) == (pytest.approx(550.0, rel=1e-4), pytest.approx(40.0, rel=1e-4))


def test_an_hour_of_standing_adds_neither_way_nor_ground() -> None:
    still = np.tile([0.0, 50.0], (3600, 1)) + np.random.default_rng(0).normal(0.0, 0.01, (3600, 2))
    ways = np.vstack([build.straight(50.0), still, build.straight(50.0, start=50.0)])
    for machine in (Implement(width_m=4.0), Implement(width_m=4.0, offset_right_m=8.0, offset_back_m=5.0)):
        found = build.covered([build.log(ways, place=PLANE.inverse)], implement=machine)
        assert found.areas.worked_m2 == pytest.approx(400.0, abs=0.5)
        assert found.areas.double_m2 == pytest.approx(0.0, abs=0.5)
        assert found.figures.distance_m == pytest.approx(100.0, abs=0.1)
        assert found.figures.working_time_s > 3600.0


@pytest.mark.parametrize("rate", [1, 10])
def test_slow_work_at_ten_records_a_second_is_no_standing(rate: int) -> None:
    """Planting at 0.3 m/s, on for 20 m of 30: 20 m x 4 m, within one step on either side."""
    count = 100 * rate
    ways = build.straight(30.0, 0.3 / rate)
    on = ((ways[:, 1] > 5.0) & (ways[:, 1] <= 25.0)).astype(int)
    log = build.log(ways, {(141, "DET21"): on}, seconds=np.arange(count + 1) / rate, place=PLANE.inverse)
    found = build.covered([log], [build.sprayer([2000, 2000])])
    assert found.areas.worked_m2 == pytest.approx(80.0, abs=4.0 * 0.3 / rate + 0.01)


@pytest.mark.parametrize("jump", [5.5, 30.0, 300.0])
def test_a_single_position_off_the_way_is_left_out_and_told(jump: float) -> None:
    ways = build.straight(100.0)
    ways[40] += [jump, 0.0]
    found = build.covered([build.log(ways, place=PLANE.inverse)], implement=Implement(width_m=4.0))
    assert found.areas.worked_m2 == pytest.approx(400.0, abs=0.01)
    assert "coverage.stray-position" in ids(found)


def test_sharp_corners_are_no_stray_positions() -> None:
    corner = [(0.0, 0.0), (0.0, 2.0), (0.0, 4.0), (0.0, 6.0), (12.0, 4.0), (12.0, 2.0), (12.0, 0.0), (12.0, -2.0)]
    found = build.covered([build.log(corner, place=PLANE.inverse)], implement=Implement(width_m=1.0))
    assert "coverage.stray-position" not in ids(found)


@pytest.mark.parametrize("scatter", [0.05, 0.15])
def test_a_worse_receiver_stands_as_well(scatter: float) -> None:
    still = np.tile([0.0, 50.0], (3600, 1)) + np.random.default_rng(1).normal(0.0, scatter, (3600, 2))
    ways = np.vstack([build.straight(50.0), still, build.straight(50.0, start=50.0)])
    found = build.covered([build.log(ways, place=PLANE.inverse)], implement=Implement(width_m=12.0))
    assert found.areas.worked_m2 == pytest.approx(1200.0, abs=12.0 * 3.0 * scatter)
    assert found.figures.distance_m == pytest.approx(100.0, abs=1.0)


def test_what_overlaps_thousands_of_times_is_counted_on_a_raster() -> None:
    """A wild receiver: 1000 places within metres of each other, which polygons would take gigabytes for."""
    wild = np.random.default_rng(2).normal(0.0, 2.0, (1000, 2))
    found = build.covered([build.log(wild, place=PLANE.inverse)], implement=Implement(width_m=12.0))
    assert "overlaps too often for polygons" in found.method
    reach = 8.5 + 6.0  # the farthest of so many places, and half of the width
    assert 144.0 < found.areas.worked_m2 < np.pi * reach**2
    assert found.ground["worked"].area > 0.0

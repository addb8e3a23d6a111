"""From the antenna over connectors to sections: places, states, latencies, changing geometry."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from taskdata import Implement
from taskdata.geometry.plane import LocalPlane
from taskdata.model.machines import Machine
from tests.fieldwork import build

PASS = build.straight(100.0)


def tractor(*, antenna: tuple[int, int] = (600, 0), hitch: tuple[int, int] = (-1150, 0), kind: int = 3) -> Machine:
    return Machine(
        "DVC1",
        parts=(
            build.part("DET10", 1, 0),
            build.part("DET11", 7, 1, 1, ddi134=antenna[0], ddi135=antenna[1], ddi136=-2900),
            build.part("DET12", 6, 2, 1, ddi134=hitch[0], ddi135=hitch[1], ddi136=0, ddi157=kind),
        ),
    )


def with_hitch(machine: Machine, x: int, y: int, kind: int = 3) -> Machine:
    hitch = build.part("DET29", 6, 90, 1, ddi134=x, ddi135=y, ddi136=0, ddi157=kind)
    return Machine(machine.id, parts=(*machine.parts, hitch))


JOINED = [("DVC1", "DET12", "DVC2", "DET29")]


def box(found) -> tuple[float, ...]:
    """West, south, east and north of the worked ground in metres from the origin of the drives."""
    plane = LocalPlane(build.LON, build.LAT)
    return shapely.transform(found.ground["worked"], plane.forward).bounds


def near(*metres: float):
    return pytest.approx(metres, abs=2e-3)


def on(count: int = len(PASS)) -> dict:
    return {(141, "DET21"): np.ones(count, dtype=int)}


def test_two_machines_meet_at_their_connectors() -> None:
    # Antenna 0.6 m ahead and 0.2 m right of the tractor's reference point, hitch 1.15 m behind and 0.1 m right; the
    # boom is 1.7 m behind and 0.3 m left of the connector, which is 0.4 m ahead of the sprayer's reference point.
    implement = with_hitch(build.sprayer([6000, 6000], x=-1300), 400, 300)
    data = build.dataset(
        [build.log(PASS, on())], [tractor(antenna=(600, 200), hitch=(-1150, 100)), implement], connections=JOINED
    )
    back, right = 0.6 + 1.15 + 1.7, 0.1 - 0.2 - 0.3
    assert box(build.covered(data)) == near(right - 6.0, -back, right + 6.0, 100.0 - back)


def test_connections_are_read_in_either_direction() -> None:
    implement = with_hitch(build.sprayer([6000], x=-1700), 0, 0)
    turned = [("DVC2", "DET29", "DVC1", "DET12")]
    boxes = [
        box(build.covered(build.dataset([build.log(PASS, on())], [tractor(), implement], connections=links)))
        for links in (JOINED, turned)
    ]
    assert boxes[0] == near(-3.0, -3.45, 3.0, 96.55)
    assert boxes[0] == boxes[1]


def test_without_a_connection_the_only_connectors_are_taken_and_named() -> None:
    implement = with_hitch(build.sprayer([6000], x=-1700), 0, 0)
    found = build.covered(build.dataset([build.log(PASS, on())], [tractor(), implement]))
    assert box(found) == near(-3.0, -3.45, 3.0, 96.55)
    assert [note.rule.id for note in found.notes if note.rule.id.startswith("coverage.assumed")] == [
        "coverage.assumed-joint"
    ]


def test_what_the_user_says_of_the_place_outranks_the_description() -> None:
    implement = with_hitch(build.sprayer([6000], x=-1700), 0, 0)
    data = build.dataset([build.log(PASS, on())], [tractor(), implement], connections=JOINED)
    by_hand = Implement(offset_right_m=0.5, offset_back_m=2.0)
    assert box(build.covered(data, implement=by_hand)) == near(-2.5, -2.0, 3.5, 98.0)


def test_a_width_by_hand_replaces_the_sections_where_they_are() -> None:
    implement = with_hitch(build.sprayer([6000], x=-1700), 0, 0)
    data = build.dataset([build.log(PASS, on())], [tractor(), implement], connections=JOINED)
    assert box(build.covered(data, implement=Implement(width_m=4.0))) == near(-2.0, -3.45, 2.0, 96.55)


@pytest.mark.parametrize("kind", [1, 4, 5, 6, 7, 8, 10])
def test_a_machine_on_a_drawbar_follows_its_hitch(kind: int) -> None:
    angle = np.arange(751) * 2 * np.pi / 250
    places = np.column_stack([-20.0 * np.cos(angle), 20.0 * np.sin(angle)])
    state = {(141, "DET21"): (np.arange(751) >= 500).astype(int)}
    implement = with_hitch(build.sprayer([3000, 3000]), 6000, 0, kind)
    carrier = tractor(antenna=(0, 0), hitch=(0, 0), kind=kind)
    found = build.covered(build.dataset([build.log(places, state)], [carrier, implement], connections=JOINED))
    # The axle of a body of length 6 m behind a hitch at radius 20 m runs at the root of 20² - 6² in the steady state.
    assert found.areas.applied_m2 == pytest.approx(2 * np.pi * np.sqrt(20.0**2 - 6.0**2) * 6.0, rel=2e-3)


def test_sections_are_ordered_by_place_not_by_number() -> None:
    widths, numbers = [1000, 2000, 3000, 4000], [3, 0, 2, 1]
    machine = build.sprayer(widths, order=numbers)
    left_two = build.log(PASS, {(161, "DET21"): build.condensed([1, 1, 0, 0])})
    found = build.covered([left_two], [machine])
    assert box(found) == near(-5.0, 0.0, -2.0, 100.0)


def test_twenty_sections_take_two_unsigned_values() -> None:
    machine = build.sprayer([500] * 20)
    # Sections 16 and 17 are the last of the first value, whose two highest bits are its sign in the log, and the first
    # of the second.
    first, second = build.condensed([0] * 15 + [1]), build.condensed([1, 0, 0, 0])
    found = build.covered([build.log(PASS, {(161, "DET21"): first, (162, "DET21"): second})], [machine])
    assert box(found) == near(2.5, 0.0, 3.5, 100.0)
    error = build.condensed([0] * 15 + [2])
    assert error < 0
    broken = build.covered([build.log(PASS, {(161, "DET21"): error, (162, "DET21"): second})], [machine])
    assert box(broken) == near(3.0, 0.0, 3.5, 100.0)
    assert [note.facts["count"] for note in broken.notes if note.rule.id == "coverage.state-in-error"] == [101]


@pytest.mark.parametrize("above", ["DET20", "DET21"])
def test_nothing_works_below_a_part_that_is_off(above: str) -> None:
    machine = build.sprayer([3000, 3000])
    off_at_half = (np.arange(len(PASS)) < 50).astype(int)
    log = build.log(PASS, {(161, "DET21"): build.condensed([1, 1]), (141, above): off_at_half})
    assert build.covered([log], [machine]).areas.worked_m2 == pytest.approx(300.0, rel=1e-5)
    absent = build.log(PASS, {(161, "DET21"): build.condensed([1, 1]), (141, above): 3})
    assert build.covered([absent], [machine]).areas.worked_m2 == pytest.approx(600.0, rel=1e-5)


def test_a_value_holds_until_the_next_is_logged() -> None:
    log = build.log(PASS, {(141, "DET21"): {0: 0, 20: 1, 70: 0}})
    found = build.covered([log], [build.sprayer([6000])])
    assert box(found) == near(-3.0, 20.0, 3.0, 70.0)
    assert (found.figures.distance_m, found.figures.working_time_s) == (pytest.approx(50.0, rel=1e-6), 50.0)


@pytest.mark.parametrize(("latency_ms", "begin"), [(0, 20.0), (2000, 22.0), (-5000, 15.0)])
def test_a_latency_shifts_logged_values(latency_ms: int, begin: float) -> None:
    log = build.log(PASS, {(141, "DET21"): {0: 0, 20: 1, 70: 0}})
    machine = build.sprayer([6000], ddi143=latency_ms)
    assert box(build.covered([log], [machine])) == near(-3.0, begin, 3.0, begin + 50.0)


def test_a_latency_of_the_machine_counts_for_its_parts() -> None:
    machine = build.sprayer([6000])
    root = build.part("DET20", 1, 0, 0, ddi143=3000)
    log = build.log(PASS, {(141, "DET21"): {0: 0, 20: 1, 70: 0}})
    found = build.covered([log], [Machine("DVC2", parts=(root, *machine.parts[1:]))])
    assert box(found) == near(-3.0, 23.0, 3.0, 73.0)


def test_widths_and_offsets_that_are_logged_hold_from_their_record() -> None:
    boom = build.part("DET21", 2, 1, 1, ddi134=0, ddi135=0)
    machine = Machine("DVC2", parts=(build.part("DET20", 1, 0), boom))
    log = build.log(PASS, on() | {(67, "DET21"): {0: 4000, 50: 8000}, (135, "DET21"): {0: 0, 50: 1000}})
    found = build.covered([log], [machine])
    # At record 50 the bar widens from ±2 m to -3..5 m; the way up to it widens evenly.
    assert found.areas.worked_m2 == pytest.approx(49 * 4.0 + 6.0 + 50 * 8.0, rel=1e-5)
    assert box(found) == near(-3.0, 0.0, 5.0, 100.0)


def there_and_back() -> np.ndarray:
    return np.concatenate([build.straight(40.0), build.straight(20.0, start=20.0, back=True)[1:]])


@pytest.mark.parametrize("speed", [{}, {(397, "DET20"): 1000}])
def test_reversing_is_seen_in_the_path_where_no_speed_tells(speed: dict) -> None:
    found = build.covered([build.log(there_and_back(), {(141, "DET21"): 1} | speed)], [build.sprayer([6000], x=-5000)])
    assert box(found) == near(-3.0, -5.0, 3.0, 35.0)


def corner(*, pace: float) -> np.ndarray:
    """North, and from a point on back at 30° to the way; about the corner at a share of the usual speed."""
    y = np.concatenate([np.arange(0.0, 40.0), 40.0 + np.cumsum(np.full(4, pace))])
    north = np.column_stack([np.zeros(len(y)), y])
    steps = np.concatenate([np.full(4, pace), np.full(20, 1.0)])
    back = north[-1] + np.cumsum(steps)[:, np.newaxis] * [np.sin(np.pi / 6), -np.cos(np.pi / 6)]
    return np.concatenate([north, back])


def test_a_sharp_corner_is_a_turn_at_speed_and_a_reversal_where_it_stops() -> None:
    turned, backed = (
        build.covered([build.log(corner(pace=pace), {(141, "DET21"): 1})], [build.sprayer([6000], x=-5000)])
        for pace in (1.0, 0.2)
    )
    # Backing, the bar stays behind the machine to the south; after a turn it swings round to the north.
    assert box(turned)[3] > 43.0
    assert box(backed)[3] < 40.0


def test_reversing_by_the_sign_of_the_speed_keeps_the_heading() -> None:
    places = there_and_back()
    speed = np.where(np.arange(len(places)) <= 40, 1000, -1000)
    state = {(141, "DET21"): 1, (397, "DET20"): speed}
    found = build.covered([build.log(places, state)], [build.sprayer([6000], x=-5000)])
    # The bar stays behind: it ends at 35 m and goes back over what it had done.
    assert box(found) == near(-3.0, -5.0, 3.0, 35.0)
    assert found.areas.double_m2 == pytest.approx(6.0 * 20.0, rel=1e-3)


def test_two_booms_over_the_same_strip_count_it_once() -> None:
    first = build.sprayer([3000, 3000])
    second = build.part("DET31", 2, 40, 1, ddi134=-500, ddi135=0, ddi70=6000)
    found = build.covered([build.log(PASS, on())], [Machine("DVC2", parts=(*first.parts, second))])
    assert found.areas.double_m2 == pytest.approx(0.0, abs=1e-3)
    assert [note.rule.id for note in found.notes if note.rule.id == "coverage.boom-left-out"]

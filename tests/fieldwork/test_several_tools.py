"""Several implements in one log: strips side by side count together, tools over the same strip each by itself."""

from __future__ import annotations

import numpy as np
import pytest

from taskdata import coverage
from taskdata.errors import UsageError
from taskdata.model.dataset import Dataset
from taskdata.model.machines import Machine
from taskdata.reports.coverage_text import coverage_text
from taskdata.results.coverage import Coverage
from tests.fieldwork import build

LENGTH = 100.0
PASS = build.straight(LENGTH)
BOX = [(-4.5, 0.0), (4.5, 0.0), (4.5, LENGTH), (-4.5, LENGTH)]


def mower(identifier: str, number: int, *bars: tuple[int, int]) -> Machine:
    """A machine with a bar for each width and place to the right, millimetres; its elements begin at a number."""
    root = build.part(f"DET{number}", 1, 0)
    parts = [
        build.part(f"DET{number + 1 + index}", 2, 1 + index, 1, ddi134=0, ddi135=right, ddi70=width)
        for index, (width, right) in enumerate(bars)
    ]
    return Machine(identifier, name=f"mower {identifier}", parts=(root, *parts))


FRONT = mower("DVC2", 20, (3000, 0))
WINGS = mower("DVC3", 30, (3100, -2950), (3100, 2950))


def all_of(found: Dataset, **options: object) -> tuple[Coverage, ...]:
    return coverage(found, **options).tasks  # type: ignore[arg-type]


def notes(found: Coverage) -> list[str]:
    return [note.rule.id for note in found.notes]


def test_front_and_rear_mower_make_one_swath() -> None:
    """Two rectangles of 3.1 m and one of 3 m between, 10 cm over each other: 9 m wide, 2 x 10 cm double."""
    log = build.log(PASS, {(141, "DET21"): 1, (141, "DET31"): 1, (141, "DET32"): 1})
    (found,) = all_of(build.dataset([log], [FRONT, WINGS], [build.field(BOX)]))
    assert found.areas.worked_m2 == pytest.approx(9.0 * LENGTH, rel=1e-5)
    assert found.areas.double_m2 == pytest.approx(0.2 * LENGTH, rel=1e-3)
    assert found.areas.missed_m2 == pytest.approx(0.0, abs=0.01)
    assert found.areas.applied_m2 == pytest.approx(9.2 * LENGTH, rel=1e-5)
    assert found.figures.width_m == pytest.approx(9.0)
    assert found.figures.distance_m == pytest.approx(LENGTH, rel=1e-5)
    assert found.figures.working_time_s == pytest.approx(LENGTH)
    assert set(found.devices) == {"mower DVC2", "mower DVC3"}
    assert "Worked by" in "".join(line.text for line in coverage_text("drive", [found]))
    assert "coverage.same-strip" not in notes(found)


def test_each_switches_by_its_own_state() -> None:
    """The front mower works the first half, the left wing the second half, the right wing all of the way."""
    half = (np.arange(len(PASS)) < 50).astype(int)
    log = build.log(PASS, {(141, "DET21"): half, (141, "DET31"): 1 - half, (141, "DET32"): 1})
    (found,) = all_of(build.dataset([log], [FRONT, WINGS]))
    assert found.areas.applied_m2 == pytest.approx(3.0 * 50.0 + 3.1 * 50.0 + 3.1 * 100.0, rel=1e-5)
    assert found.areas.worked_m2 == pytest.approx(found.areas.applied_m2 - 0.1 * 50.0, rel=1e-5)
    assert found.figures.distance_m == pytest.approx(LENGTH, rel=1e-5)


def test_a_drill_behind_a_combination_is_an_operation_of_its_own() -> None:
    """Both 3 m wide; the drill is lifted for the last 20 m: 60 m² are tilled and not drilled, and none are double."""
    combination, drill = mower("DVC2", 20, (3000, 0)), mower("DVC3", 30, (3000, 0))
    down = (np.arange(len(PASS)) < 80).astype(int)
    log = build.log(PASS, {(141, "DET21"): 1, (141, "DET31"): down})
    ring = [(-1.5, 0.0), (1.5, 0.0), (1.5, LENGTH), (-1.5, LENGTH)]
    found = {item.devices: item for item in all_of(build.dataset([log], [combination, drill], [build.field(ring)]))}
    assert set(found) == {("mower DVC2",), ("mower DVC3",)}
    tilled, drilled = found["mower DVC2",], found["mower DVC3",]
    assert (tilled.areas.worked_m2, tilled.areas.missed_m2) == pytest.approx((300.0, 0.0), abs=0.02)
    assert (drilled.areas.worked_m2, drilled.areas.missed_m2) == pytest.approx((240.0, 60.0), abs=0.02)
    assert (tilled.areas.double_m2, drilled.areas.double_m2) == pytest.approx((0.0, 0.0), abs=0.01)
    assert "coverage.same-strip" in notes(tilled)
    assert "coverage.same-strip" in notes(drilled)


def test_two_booms_of_one_sprayer_that_switch_apart_are_counted_apart() -> None:
    """A second boom over the same 6 m, with a state of its own, was left out whenever it worked alone."""
    machine = mower("DVC2", 20, (6000, 0), (6000, 0))
    half = (np.arange(len(PASS)) < 50).astype(int)
    log = build.log(PASS, {(141, "DET21"): half, (141, "DET22"): 1 - half})
    found = all_of(build.dataset([log], [machine]))
    assert [item.areas.worked_m2 for item in found] == pytest.approx([300.0, 300.0], rel=1e-5)
    told_once = build.log(PASS, {(141, "DET21"): half})
    (alone,) = all_of(build.dataset([told_once], [machine]))
    assert alone.areas.worked_m2 == pytest.approx(300.0, rel=1e-5)
    assert "coverage.boom-left-out" in notes(alone)


def test_joints_decide_what_lies_side_by_side() -> None:
    """Two machines of 3 m whose own places are the same; their hitches stand 3 m apart, so that they lie in a row."""
    carrier = Machine(
        "DVC1",
        parts=(
            build.part("DET10", 1, 0),
            build.part("DET11", 7, 1, 1, ddi134=0, ddi135=0),
            build.part("DET12", 6, 2, 1, ddi134=0, ddi135=-1500),
            build.part("DET13", 6, 3, 1, ddi134=0, ddi135=1500),
        ),
    )
    hung = []
    for number in (20, 30):
        machine = mower(f"DVC{number // 10}", number, (3000, 0))
        hung.append(
            Machine(machine.id, parts=(*machine.parts, build.part(f"DET{number + 9}", 6, 9, 1, ddi134=0, ddi135=0)))
        )
    links = [("DVC1", "DET12", "DVC2", "DET29"), ("DVC1", "DET13", "DVC3", "DET39")]
    log = build.log(PASS, {(141, "DET21"): 1, (141, "DET31"): 1})
    (found,) = all_of(build.dataset([log], [carrier, *hung], connections=links))
    assert found.areas.worked_m2 == pytest.approx(6.0 * LENGTH, rel=1e-5)
    assert found.figures.width_m == pytest.approx(6.0)


def test_a_device_that_the_log_says_nothing_of_is_named_and_can_be_chosen() -> None:
    log = build.log(PASS, {(141, "DET31"): 1, (141, "DET32"): 1})
    data = build.dataset([log], [FRONT, WINGS])
    (found,) = all_of(data)
    assert found.areas.worked_m2 == pytest.approx(6.2 * LENGTH, rel=1e-5)
    told = next(note for note in found.notes if note.rule.id == "coverage.device-left-out")
    assert (told.facts["name"], told.facts["width"]) == ("mower DVC2", 3.0)
    (chosen,) = all_of(data, device="mower DVC2")
    assert chosen.areas.worked_m2 == pytest.approx(3.0 * LENGTH, rel=1e-5)
    (wing,) = all_of(data, device="DVC3")
    assert wing.areas.worked_m2 == pytest.approx(6.2 * LENGTH, rel=1e-5)
    with pytest.raises(UsageError, match=r"no such machine or part of one. Do you mean DVC2 \(mower DVC2\) or DVC3"):
        all_of(data, device="DVC9")


def test_logs_of_the_same_tools_make_one_operation() -> None:
    """The wings work in both logs, the front mower over another strip in the second alone."""
    first = build.log(PASS, {(141, "DET31"): 1, (141, "DET32"): 1})
    second = build.log(
        build.straight(LENGTH, x=20.0), {(141, "DET21"): 1, (141, "DET31"): 1, (141, "DET32"): 1}, file="TLG00002"
    )
    (found,) = all_of(build.dataset([first, second], [FRONT, WINGS]))
    assert found.areas.worked_m2 == pytest.approx((6.2 + 9.0) * LENGTH, rel=1e-5)
    assert found.figures.distance_m == pytest.approx(2 * LENGTH, rel=1e-5)


def test_a_rate_is_that_of_its_own_tool() -> None:
    """The front part applies 200 L/ha over 3 m, the wings 100 L/ha over 6.2 m, each on its own ground."""
    values = {(141, "DET21"): 1, (141, "DET31"): 1, (141, "DET32"): 1, (2, "DET21"): 20_000, (2, "DET30"): 10_000}
    (found,) = all_of(build.dataset([build.log(PASS, values)], [FRONT, WINGS]))
    assert {rate.part: rate.area_m2 for rate in found.rates} == pytest.approx(
        {"DET21": 300.0, "DET30": 620.0}, rel=1e-5
    )

"""Which parts of a machine work, and how wide."""

from __future__ import annotations

import pytest

from taskdata.model.machines import Machine
from tests.fieldwork import build

PASS = build.straight(50.0)
ROOT = build.part("DET20", 1, 0)
LOG = build.log(PASS, {(141, "DET21"): 1})


@pytest.mark.parametrize(
    ("constants", "width"),
    [
        ({"ddi67": 3000, "ddi70": 4000, "ddi68": 5000}, 3.0),  # ISO 11783-10, F.3.5: actual, else maximum, else default
        ({"ddi70": 4000, "ddi68": 5000}, 4.0),
        ({"ddi68": 5000}, 5.0),
    ],
)
def test_the_width_is_the_actual_else_the_maximum_else_the_default(constants: dict[str, int], width: float) -> None:
    boom = build.part("DET21", 2, 1, 1, ddi134=0, ddi135=0)
    section = build.part("DET22", 4, 2, 2, ddi135=0, **constants)
    found = build.covered([LOG], [Machine("DVC2", parts=(ROOT, boom, section))])
    assert found.figures.width_m == pytest.approx(width)
    assert found.areas.worked_m2 == pytest.approx(50.0 * width, rel=1e-6)


def test_sections_without_a_width_leave_it_to_the_boom() -> None:
    boom = build.part("DET21", 2, 1, 1, ddi134=0, ddi135=0, ddi70=6000)
    sections = [build.part(f"DET{22 + index}", 4, 2 + index, 2, ddi135=1000 * index) for index in range(2)]
    found = build.covered([LOG], [Machine("DVC2", parts=(ROOT, boom, *sections))])
    assert found.areas.worked_m2 == pytest.approx(300.0, rel=1e-6)


def test_sections_without_a_place_lie_side_by_side_by_number() -> None:
    boom = build.part("DET21", 2, 1, 1, ddi134=0, ddi135=500)
    sections = [build.part(f"DET{22 + index}", 4, 2 + index, 2, ddi67=1000 * (index + 1)) for index in range(3)]
    log = build.log(PASS, {(161, "DET21"): build.condensed([0, 0, 1])})
    found = build.covered([log], [Machine("DVC2", parts=(ROOT, boom, *sections[::-1]))])
    assert found.figures.width_m == pytest.approx(6.0)
    assert found.areas.worked_m2 == pytest.approx(150.0, rel=1e-6)


def test_a_machine_without_functions_works_as_a_whole() -> None:
    root = build.part("DET20", 1, 0, 0, ddi134=0, ddi135=0, ddi70=2500)
    found = build.covered([build.log(PASS, {(141, "DET20"): 1})], [Machine("DVC2", parts=(root,))])
    assert found.areas.worked_m2 == pytest.approx(125.0, rel=1e-6)


def test_parents_in_a_circle_end_where_they_close() -> None:
    boom = build.part("DET21", 2, 1, 3, ddi134=0, ddi135=0)
    section = build.part("DET22", 4, 2, 2, ddi67=4000, ddi135=0)
    found = build.covered([LOG], [Machine("DVC2", parts=(ROOT, boom, section))])
    assert found.areas.worked_m2 == pytest.approx(200.0, rel=1e-6)


def test_wings_beside_each_other_make_one_bar() -> None:
    wings = [
        build.part("DET21", 2, 1, 1, ddi134=0, ddi135=-2000, ddi70=4000),
        build.part("DET22", 2, 2, 1, ddi134=-500, ddi135=2000, ddi70=4000),
    ]
    machine = Machine("DVC2", parts=(ROOT, *wings))
    found = build.covered([build.log(PASS, {(141, "DET21"): 1, (141, "DET22"): 1})], [machine])
    assert (found.figures.width_m, found.notes) == (pytest.approx(8.0), found.notes)
    assert found.areas.worked_m2 == pytest.approx(400.0, rel=1e-6)
    half = build.covered([build.log(PASS, {(141, "DET21"): 1, (141, "DET22"): 0})], [machine])
    assert half.areas.worked_m2 == pytest.approx(200.0, rel=1e-6)


@pytest.mark.parametrize(
    ("values", "basis", "worked"),
    [
        ({(67, "DET21"): {0: 6000, 30: 0}}, "actual width", 180.0),
        ({(2, "DET21"): {0: 0, 20: 1_000_000}}, "actual rate", 180.0),
        ({(2, "DET21"): 1_000_000}, "every record", 300.0),
        ({}, "every record", 300.0),
    ],
)
def test_without_work_states_widths_or_rates_tell(values: dict, basis: str, worked: float) -> None:
    boom = build.part("DET21", 2, 1, 1, ddi134=0, ddi135=0, ddi70=6000)
    found = build.covered([build.log(PASS, values)], [Machine("DVC2", parts=(ROOT, boom))])
    assert found.areas.worked_m2 == pytest.approx(worked, rel=0.02)
    assert [note.facts["what"] for note in found.notes if note.rule.id == "coverage.no-states"] == [basis]


def one_section(**constants: int) -> Machine:
    section = build.part("DET22", 4, 2, 2, ddi135=0, **constants)
    return Machine("DVC2", parts=(build.part("DET20", 1, 0), build.part("DET21", 2, 1, 1), section))


@pytest.mark.parametrize("logged", [0, -2000, 2_147_483_647, -2_147_483_648])
def test_a_logged_width_that_is_none_leaves_that_of_the_description(logged: int) -> None:
    log = build.log(build.straight(100.0), {(141, "DET22"): 1, (67, "DET22"): logged})
    assert build.covered([log], [one_section(ddi67=3000)]).areas.worked_m2 == pytest.approx(300.0, rel=1e-5)


def test_a_logged_offset_that_is_none_leaves_that_of_the_description() -> None:
    log = build.log(build.straight(100.0), {(141, "DET22"): 1, (135, "DET22"): {0: 2_147_483_647, 50: 1000}})
    found = build.covered([log], [one_section(ddi67=3000)])
    assert found.areas.worked_m2 == pytest.approx(300.0, rel=1e-5)
    assert found.figures.distance_m == pytest.approx(100.0, rel=1e-5)


def with_a_section_without_width(**boom: int) -> Machine:
    places = ((-1000, 2000 if not boom else 0), (0, 0), (1000, 2000 if not boom else 0))
    sections = [build.part(f"DET{22 + n}", 4, 2 + n, 2, ddi135=y, ddi67=w) for n, (y, w) in enumerate(places)]
    return Machine("DVC2", parts=(build.part("DET20", 1, 0), build.part("DET21", 2, 1, 1, **boom), *sections))


@pytest.mark.parametrize(
    ("states", "metres"), [([1, 1, 1], 4.0), ([1, 1, 0], 2.0), ([0, 1, 1], 2.0), ([0, 1, 0], 0.0), ([1, 0, 1], 4.0)]
)
def test_a_section_without_a_width_keeps_its_place_in_condensed_states(states: list[int], metres: float) -> None:
    """ISO 11783-11, DDI 161: two bits a section from the leftmost on, whether it has a width or not."""
    log = build.log(build.straight(100.0), {(161, "DET21"): build.condensed(states)})
    found = build.covered([log], [with_a_section_without_width()])
    assert found.areas.worked_m2 == pytest.approx(100.0 * metres, rel=1e-5)


@pytest.mark.parametrize(("states", "metres"), [([1, 1, 1], 6.0), ([0, 1, 0], 6.0), ([0, 0, 0], 0.0)])
def test_a_boom_whose_sections_have_no_width_works_while_one_of_them_does(states: list[int], metres: float) -> None:
    log = build.log(build.straight(100.0), {(161, "DET21"): build.condensed(states)})
    found = build.covered([log], [with_a_section_without_width(ddi67=6000, ddi135=0)])
    assert found.areas.worked_m2 == pytest.approx(100.0 * metres, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize("state", [3, 255, -1])
def test_a_work_state_that_is_never_available_tells_nothing(state: int) -> None:
    log = build.log(build.straight(100.0), {(141, "DET21"): state})
    found = build.covered([log], [build.sprayer([2000, 2000])])
    assert "coverage.no-states" in [note.rule.id for note in found.notes]
    assert found.areas.worked_m2 == pytest.approx(400.0, rel=1e-5)

"""Delays between command, effect and log: distances are speed times delay."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from taskdata import coverage
from taskdata.errors import UsageError
from taskdata.fieldwork.machine.commanded_states import delayed
from taskdata.geometry.plane import LocalPlane
from taskdata.reports.coverage_text import coverage_text
from taskdata.results.coverage import Coverage
from tests.fieldwork import build

PASS = build.straight(100.0)
SWITCHED = {0: 0, 20: 1, 70: 0}


def reach(found: Coverage) -> tuple[float, float]:
    """From where to where north the ground was worked."""
    _, south, _, north = shapely.transform(found.ground["worked"], LocalPlane(build.LON, build.LAT).forward).bounds
    return south, north


def covered(values: dict, *, delay_s: float | None = None, **constants: int) -> Coverage:
    data = build.dataset([build.log(PASS, values)], [build.sprayer([3000, 3000], **constants)])
    (found,) = coverage(data, delay_s=delay_s).tasks
    return found


def notes(found: Coverage) -> list[str]:
    return [note.rule.id for note in found.notes]


def test_a_stated_delay_of_logged_values_is_applied_and_its_sign_told() -> None:
    """DDI 143 of 2 s at 1 m/s: 2 m, and nobody says which way."""
    found = covered({(141, "DET21"): SWITCHED}, ddi143=2000)
    assert reach(found) == pytest.approx((22.0, 72.0), abs=2e-3)
    (told,) = (note for note in found.notes if note.rule.id == "coverage.assumed-delay")
    assert (told.facts["seconds"], told.facts["name"]) == (2.0, "DVC2")
    assert "coverage.assumed-delay" not in notes(covered({(141, "DET21"): SWITCHED}))


@pytest.mark.parametrize("delay", [2.0, -2.0, 0.0])
def test_the_user_gives_the_sign(delay: float) -> None:
    found = covered({(141, "DET21"): SWITCHED}, ddi143=5000, delay_s=delay)
    assert reach(found) == pytest.approx((20.0 + delay, 70.0 + delay), abs=2e-3)
    assert "coverage.assumed-delay" not in notes(found)


@pytest.mark.parametrize("delay", [float("nan"), float("inf"), 1e6])
def test_a_delay_that_is_none(delay: float) -> None:
    with pytest.raises(UsageError, match="a delay cannot be"):
        covered({}, delay_s=delay)


@pytest.mark.parametrize(
    ("constants", "south", "north"),
    [
        ({}, 20.0, 70.0),
        ({"ddi205": 3000, "ddi206": 1000}, 23.0, 71.0),
        ({"ddi142": 4000}, 24.0, 74.0),
        ({"ddi142": 4000, "ddi206": 0}, 24.0, 70.0),
        ({"ddi205": -3000}, 17.0, 70.0),
    ],
)
@pytest.mark.parametrize("condensed", [True, False])
def test_commanded_states_take_effect_after_the_stated_times(
    constants: dict[str, int], south: float, north: float, *, condensed: bool
) -> None:
    """Without reported states the commands tell: 205 to go on, 206 to go off, else 142 for both."""
    both = {record: build.condensed([state] * 2) for record, state in SWITCHED.items()}
    values = {(290, "DET21"): both} if condensed else {(289, "DET21"): SWITCHED}
    found = covered(values, **constants)
    assert reach(found) == pytest.approx((south, north), abs=2e-3)
    told = next(note for note in found.notes if note.rule.id == "coverage.no-states")
    assert told.facts["what"] == "commanded work states"


def test_reported_states_outrank_commands_and_no_change_changes_nothing() -> None:
    both = covered({(141, "DET21"): SWITCHED, (289, "DET21"): 1})
    assert reach(both) == pytest.approx((20.0, 70.0), abs=2e-3)
    kept = covered({(289, "DET21"): {0: 0, 20: 1, 40: 3, 70: 0}})
    assert reach(kept) == pytest.approx((20.0, 70.0), abs=2e-3)


def test_an_overtaking_command_wins() -> None:
    """Told on at 2 s and off at 3 s, where on takes 5 s and off none: it goes off at 3 s and stays off."""
    on = np.array([False, False, True, False, False, False, False, False, False])
    assert not delayed(on, np.arange(9.0), 5.0, 0.0).any()
    late = delayed(on, np.arange(9.0), 1.0, 4.0)
    assert late.tolist() == [False, False, False, True, True, True, True, False, False]


def test_a_setpoint_holds_after_its_own_delay() -> None:
    """Each target takes 10 s: from 10 m on 50 m aim at 100 mm³/m², and 40 m at the 200 that are set at 50 s."""
    values = {(141, "DET21"): 1, (2, "DET21"): 20_000, (1, "DET21"): {0: 10_000, 50: 20_000}}
    (rate,) = covered(values, ddi142=10_000).rates
    assert rate.target_mean == pytest.approx((50 * 100.0 + 40 * 200.0) / 90, rel=1e-6)


def test_a_mean_of_a_section_names_its_own_ground() -> None:
    """One of two sections applies 200 L/ha on its 300 m², which is no rate by the 600 m² of both."""
    found = covered({(141, "DET21"): 1, (2, "DET22"): 2_000_000})
    (rate,) = found.rates
    assert (rate.area_m2, rate.per_worked_m2) == (pytest.approx(300.0, rel=1e-5), None)
    text = " ".join(line.text.strip() for line in coverage_text("drive", [found]))
    assert "mean 200 L/ha over the 0.0300 ha of its own sweeps" in text
    assert "[mm³/m²]" not in text
    whole = covered({(141, "DET21"): 1, (2, "DET21"): 2_000_000}).rates[0]
    assert whole.per_worked_m2 == pytest.approx(20_000.0, rel=1e-5)

"""A clock that is set during work: what the work took is known, and the log loses one interval a set-back."""

from __future__ import annotations

import numpy as np
import pytest

from taskdata.fieldwork.logs.clock import clock
from taskdata.reports.coverage_text import coverage_text
from taskdata.reports.styled import plain
from tests.fieldwork import build

COUNT = 901
TRUE = np.arange(COUNT, dtype=float)


def stamps(seconds: np.ndarray) -> np.ndarray:
    return build.START + np.round(1000.0 * seconds).astype("timedelta64[ms]")


def covered(seconds: np.ndarray):
    """A pass of 2250 m at 2.5 m/s and 6 m wide, which takes 900 s whatever the clock says."""
    log = build.log(build.straight(2250.0, 2.5), {(141, "DET21"): 1}, seconds=seconds)
    return build.covered([log], [build.sprayer([6000])])


@pytest.mark.parametrize("back", [600.0, 3600.0, 86_400.0])
@pytest.mark.parametrize("at", [[1], [450], [899], [300, 600], [450, 451]])
def test_a_set_back_costs_one_interval(back: float, at: list[int]) -> None:
    found = covered(TRUE - back * np.searchsorted(at, TRUE, side="right"))
    assert found.figures.working_time_s == pytest.approx(900.0, abs=len(at))
    assert found.figures.speed_m_s == pytest.approx(2.5, rel=2e-3)
    assert found.figures.capacity_ha_h == pytest.approx(2.5 * 6.0 * 0.36, rel=2e-3)
    assert found.areas.worked_m2 == pytest.approx(2250.0 * 6.0, rel=1e-5)
    (note,) = [note for note in found.notes if note.rule.id == "coverage.clock-set-back"]
    assert note.facts["count"] == len(at)
    assert note.facts["what"] == ", ".join(f"record {record} by {back - 1.0:g} s" for record in at)


def test_the_note_is_shown_with_its_record() -> None:
    text = " ".join(plain(coverage_text("stick", [covered(TRUE - 3600.0 * (TRUE >= 450.0))])).split())
    assert "The clock of TLG00001 was set back (1 x): record 450 by 3599 s." in text


def test_many_set_backs_are_counted_and_the_first_named() -> None:
    found = covered(TRUE - 60.0 * np.floor(TRUE / 100.0))
    (note,) = [note for note in found.notes if note.rule.id == "coverage.clock-set-back"]
    assert note.facts["count"] == 9
    assert note.facts["what"].endswith("record 600 by 59 s and 3 more")


@pytest.mark.parametrize("off", [-3600.0, 3600.0, -86_400.0, 7 * 86_400.0])
@pytest.mark.parametrize("wrong", [slice(450, 451), slice(300, 700)])
def test_a_clock_that_was_wrong_for_a_while_costs_nothing(off: float, wrong: slice) -> None:
    seconds = TRUE.copy()
    seconds[wrong] += off
    found = clock(stamps(seconds))
    assert found.seconds == pytest.approx(TRUE, abs=1e-9)
    assert [fall.record for fall in found.set_back] == [wrong.start if off < 0.0 else wrong.stop]


def test_a_pause_beside_a_set_back_stays_a_pause() -> None:
    seconds = TRUE + np.where(TRUE >= 200.0, 900.0, 0.0) - np.where(TRUE >= 600.0, 3600.0, 0.0)
    assert clock(stamps(seconds)).seconds == pytest.approx(TRUE + np.where(TRUE >= 200.0, 900.0, 0.0), abs=1e-9)


def test_the_interval_of_a_set_back_is_that_of_its_neighbours() -> None:
    """At 10 s a record in one part of a log and 0.2 s in another, the set-back takes what its surroundings take."""
    steps = np.concatenate([np.full(50, 10.0), np.full(500, 0.2)])
    true = np.concatenate([[0.0], np.cumsum(steps)])
    found = clock(stamps(true - 3600.0 * (np.arange(len(true)) >= 20))).seconds
    assert found == pytest.approx(true, abs=1e-6)


def test_time_never_falls_and_rises_where_the_stamps_do() -> None:
    random = np.random.default_rng(5)
    seconds = np.cumsum(random.uniform(0.05, 2.0, 400)) - 500.0 * np.searchsorted(random.uniform(0, 400, 7), range(400))
    found = clock(stamps(seconds)).seconds
    assert found is not None
    rising = np.diff(np.round(seconds, 3)) > 0.0
    assert (np.diff(found) > 0.0).all()
    assert np.diff(found)[rising] == pytest.approx(np.diff(np.round(seconds, 3))[rising])


def test_a_log_that_runs_backwards_throughout_tells_no_time() -> None:
    found = clock(stamps(-TRUE))
    assert found.seconds is None
    assert len(found.set_back) == COUNT - 1

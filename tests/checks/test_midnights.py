"""Dates that stay behind at midnight, against moments that Python's own ``datetime`` counts."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from taskdata.checks.timelog._midnights import missing_days

EVENING = datetime(2024, 4, 18, 23, 30)


def stored(moments: list[datetime], date: datetime) -> np.ndarray:
    """Moments as a terminal stores them that never raises the date."""
    return np.array([datetime.combine(date.date(), moment.time()) for moment in moments], dtype="datetime64[ms]")


@given(st.lists(st.integers(1, 3500), min_size=1, max_size=200))
def test_what_is_lacking_brings_back_the_moments(steps: list[int]) -> None:
    moments = [EVENING + timedelta(seconds=sum(steps[:count])) for count in range(len(steps) + 1)]
    time = stored(moments, EVENING)
    raised = time + missing_days(time) * np.timedelta64(1, "D")
    assert raised.astype(datetime).tolist() == moments


@given(st.lists(st.integers(0, 90_000), min_size=2, max_size=50))
def test_times_that_rise_lack_nothing(steps: list[int]) -> None:
    moments = [EVENING + timedelta(seconds=sum(steps[:count])) for count in range(len(steps) + 1)]
    assert not missing_days(np.array(moments, dtype="datetime64[ms]")).any()


def test_a_date_that_is_raised_late_is_right_from_there_on() -> None:
    before = stored([EVENING, EVENING + timedelta(minutes=31)], EVENING)
    later = np.array([EVENING + timedelta(hours=9)], dtype="datetime64[ms]")
    assert missing_days(np.concatenate([before, later])).tolist() == [0, 1, 0]


def test_what_later_dates_contradict_is_left() -> None:
    night = stored([EVENING, EVENING + timedelta(minutes=31), EVENING + timedelta(hours=12.5)], EVENING)
    morning = np.array([EVENING + timedelta(hours=9)], dtype="datetime64[ms]")
    assert not missing_days(np.concatenate([night, morning])).any()


def test_a_clock_set_back_by_hours_is_no_midnight() -> None:
    assert not missing_days(stored([EVENING, EVENING + timedelta(hours=6)], EVENING)).any()


def test_records_without_a_time_follow_the_one_before() -> None:
    time = stored([EVENING, EVENING, EVENING + timedelta(minutes=31), EVENING], EVENING)
    time[[1, 3]] = np.datetime64("NaT")
    assert missing_days(time).tolist() == [0, 0, 1, 1]

"""Time stamps as Python's own ``datetime`` reads them (ISO 8601)."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.checks.stamp._stamps import parse

ZONES = st.none() | st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))


@given(st.datetimes(timezones=ZONES))
def test_stamps_are_those_of_the_library(moment: datetime) -> None:
    stamp = parse(moment.isoformat())
    assert stamp is not None
    assert stamp.clock == moment.replace(tzinfo=None)
    assert stamp.ahead == moment.utcoffset()


@given(st.datetimes(timezones=ZONES), st.datetimes(timezones=ZONES))
def test_time_between_is_that_of_the_library(first: datetime, second: datetime) -> None:
    here, there = parse(first.isoformat()), parse(second.isoformat())
    assert here is not None
    assert there is not None
    comparable = (first.tzinfo is None) == (second.tzinfo is None)
    assert there.since(here) == (second - first if comparable else None)


def test_the_end_of_a_day_and_z() -> None:
    """XML Schema 1.0, part 2, 3.2.7: 24:00:00 is the first instant of the next day, Z is UTC."""
    stamp = parse("2024-04-18T24:00:00Z")
    assert stamp is not None
    assert (stamp.clock, stamp.ahead) == (datetime(2024, 4, 19), timedelta())
    tenth = parse("2024-04-18T07:00:00.1234567")
    assert tenth is not None
    assert tenth.clock.microsecond == 123456


@pytest.mark.parametrize(
    "text",
    [
        None,
        "",
        "2024-04-18",
        "2024-13-40T07:00:00",
        "0000-01-01T00:00:00",
        "9999-12-31T99:00:00",
        "2024-04-18T07:00",
        "٢٠٢٤-04-18T07:00:00",
        "2024-04-18T07:00:00+2:00",
    ],
)
def test_what_is_no_stamp_is_none(text: str | None) -> None:
    assert parse(text) is None

"""UUIDs of links against Python's own ``uuid`` module."""

from __future__ import annotations

import uuid

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.checks.linklist.wrong_uuid import is_random_uuid

# RFC 9562, appendix A, example of version 4; the others are its examples of versions 1, 3 and 5.
RANDOM = "919108f7-52d1-4320-9bac-f847db4148a8"
OTHERS = (
    "C232AB00-9414-11EC-B3C8-9F6BDECED846",
    "5df41881-3aed-3515-88a7-2f4a814cf09e",
    "2ed6657d-e927-568b-95e1-2665a8aea6a2",
)


def by_the_library(text: str) -> bool:
    """The verdict of the library on the form with hyphens; it takes other spellings too, which a link may not have."""
    try:
        found = uuid.UUID(text)
    except ValueError:
        return False
    return str(found) == text.lower() and found.version == 4


def test_published_examples() -> None:
    assert is_random_uuid(RANDOM)
    assert is_random_uuid(RANDOM.upper())
    assert [uuid.UUID(text).version for text in (RANDOM, *OTHERS)] == [4, 1, 3, 5]
    assert not any(is_random_uuid(text) for text in OTHERS)


@given(st.uuids())
def test_uuids_of_any_version_are_judged_as_the_library_does(number: uuid.UUID) -> None:
    assert is_random_uuid(str(number)) == by_the_library(str(number))


@given(st.uuids(version=4))
def test_random_uuids_are_taken(number: uuid.UUID) -> None:
    assert is_random_uuid(str(number))
    assert is_random_uuid(str(number).upper())


@given(st.integers(0, 35), st.sampled_from("0123456789abcdefABCDEF-gG {}٣"))
def test_one_changed_character_is_judged_as_the_library_does(place: int, character: str) -> None:
    text = RANDOM[:place] + character + RANDOM[place + 1 :]
    assert is_random_uuid(text) == by_the_library(text)


@pytest.mark.parametrize("spelling", ["{%s}", "urn:uuid:%s", " %s", "%s\n", "%s0"])
def test_other_spellings_are_refused(spelling: str) -> None:
    assert not is_random_uuid(spelling % RANDOM)
    assert not is_random_uuid(RANDOM.replace("-", ""))

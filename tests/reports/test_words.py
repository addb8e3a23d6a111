"""Findings in words: every finding of every sample can be said, in a sentence without holes."""

from __future__ import annotations

import json
import re

import pytest

from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.reports import words
from tests.checks.expected import FOLDER, NAME

RULE = Rule("test.wrong", Severity.ERROR, "{number} of {what} is {value}", "Mend {what}!")


def finding(place: Place | None = None, **facts: str | int | float | None) -> Finding:
    return RULE.at(place or Place(), **facts)


def hole(text: str) -> bool:
    """Whether a sentence has no end, or something in it was not put into words."""
    return text[-1] not in ".!?" or re.search(r"\{[a-z_]+\}|  |\bNone\b", text) is not None


def test_every_finding_can_be_said() -> None:
    """`tests/checks/test_samples.py` compares these texts, word for word, with what the samples yield."""
    said = [
        (path.parent.name, name, row[part])
        for path in sorted(FOLDER.glob(f"*/{NAME}"))
        for name, rows in json.loads(path.read_text(encoding="utf-8")).items()
        for row in rows
        for part in ("message", "remedy")
    ]
    assert len(said) > 1000
    assert [item for item in said if hole(item[-1])] == []


def test_facts_are_formatted() -> None:
    item = finding(number=0.1 + 0.2, what="it", value=None)
    assert words.message(item) == "0.3 of it is none."
    assert words.remedy(item) == "Mend it!"


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        (Place(), ""),
        (Place(file="TASKDATA.XML", line=12, element="PFD1"), "TASKDATA.XML:12 PFD1"),
        (Place(file="TLG00001.BIN", record=7, offset=90, element="TSK1"), "TLG00001.BIN record 7 TSK1"),
        (Place(file="GRD00001.BIN", offset=0), "GRD00001.BIN byte 0"),
        (Place(element="PFD1", location=(7.0, 54.3)), "at 54.3000000 N, 7.0000000 E PFD1"),
        (Place(location=(-7.5, -54.25)), "at 54.2500000 S, 7.5000000 W"),
    ],
)
def test_places(place: Place, expected: str) -> None:
    assert words.standing(finding(place)) == expected


def test_counting() -> None:
    assert [words.counted(number, "error") for number in (0, 1, 2)] == ["0 errors", "1 error", "2 errors"]

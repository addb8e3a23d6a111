"""Findings in words: every finding of every sample can be said, in a sentence without holes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from taskdata import api
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.reports import words

ROOT = Path(__file__).parents[1]
BAD = sorted(path for path in (ROOT / "rules").glob("*/bad*") if path.is_dir())
RULE = Rule("test.wrong", Severity.ERROR, "{number} of {what} is {value}", "Mend {what}!")


def finding(place: Place | None = None, **facts: str | int | float | None) -> Finding:
    return RULE.at(place or Place(), **facts)


@pytest.mark.parametrize("folder", BAD, ids=lambda folder: f"{folder.parent.name}-{folder.name}")
def test_every_finding_can_be_said(folder: Path) -> None:
    for item in api.check(folder).findings:
        for text in (words.message(item), words.remedy(item)):
            assert text[-1] in ".!?"
            assert not re.search(r"\{[a-z_]+\}|  |\bNone\b", text), text


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

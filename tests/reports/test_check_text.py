"""The report for a person."""

from __future__ import annotations

from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.reports.check_text import CAUTION, check_text
from taskdata.reports.styled import plain
from taskdata.results.audit import CheckReport, summarize

WRONG = Rule("geometry.wrong", Severity.ERROR, "{what} is wrong", "Mend it", clause="8.4")
FILE = Rule("file.wrong", Severity.ERROR, "File is wrong", "Copy {what}")
NOTED = Rule("file.noted", Severity.NOTE, "Noted", "Nothing need be done")


def report(*findings: Finding) -> CheckReport:
    return CheckReport("stick", "4.3", findings, summarize(list(findings)))


def test_grouped_gravest_first_and_files_before_what_they_hold() -> None:
    text = plain(
        check_text(
            report(
                NOTED.at(Place(file="A.XML")),
                WRONG.at(Place(file="A.XML", line=1, element="PFD1"), what="One"),
                WRONG.at(Place(file="A.XML", line=2, element="PFD2"), what="Two"),
                FILE.at(Place(), what="one"),
                FILE.at(Place(), what="two"),
            )
        )
    )
    body, _, caution = text.rpartition("\n\n")
    assert " ".join(caution.split()) == CAUTION
    assert body == (
        "stick (version 4.3)\n"
        "4 errors, 1 note.\n"
        "Begin with file.wrong: Copy one.\n"
        "\n"
        "ERROR  file.wrong\n"
        "  File is wrong.\n"
        "    To do: Copy one.\n"
        "  File is wrong.\n"
        "    To do: Copy two.\n"
        "\n"
        "ERROR  geometry.wrong  [8.4]\n"
        "  A.XML:1 PFD1: One is wrong.\n"
        "  A.XML:2 PFD2: Two is wrong.\n"
        "  To do: Mend it.\n"
        "\n"
        "NOTE  file.noted\n"
        "  A.XML: Noted.\n"
        "  To do: Nothing need be done."
    )


def test_severity_stands_in_words_beside_its_style() -> None:
    lines = check_text(report(WRONG.at(Place(), what="x"), NOTED.at(Place())))
    assert [(line.text.split()[0], line.style) for line in lines if line.style in {"error", "warning", "note"}] == [
        ("ERROR", "error"),
        ("NOTE", "note"),
    ]


def test_nothing_found_makes_no_promise() -> None:
    lines = [line.text for line in check_text(CheckReport("stick", None, (), summarize([])))]
    assert lines[:2] == ["stick (version unknown)", "Nothing found."]
    assert " ".join(lines[3:]) == CAUTION
    assert "safe" not in CAUTION

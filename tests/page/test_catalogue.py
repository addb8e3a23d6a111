"""The catalogue of German texts: whole, compiled, with the same facts in each text as in the English one."""

from __future__ import annotations

import re
import string

import taskdata
from taskdata.findings import Severity
from tests import catalogue


def test_the_files_are_up_to_date() -> None:
    fresh = catalogue.updated()
    assert catalogue.po_path().read_bytes() == catalogue.po_bytes(fresh), "run python -m tests.catalogue"
    assert catalogue.po_path().with_suffix(".mo").read_bytes() == catalogue.mo_bytes(catalogue.load())


def test_every_label_is_translated() -> None:
    known = catalogue.load()
    left = [
        text
        for text, places in catalogue.wanted().items()
        if any(".py" in place or ".csv" in place for place in places) and not _german(known, text)
    ]
    assert left == []


RAISED = {"file.same-name-in-other-case", "file.wrong-length", "points.out-of-range"}
"""Warnings that some findings of theirs raise to an error."""


def test_rules_of_errors_and_of_field_work_are_translated() -> None:
    known = catalogue.load()
    rules = {rule.id: rule for rule in taskdata.rules()}
    assert rules.keys() > RAISED
    errors = [item for item in rules.values() if item.severity is Severity.ERROR or item.id in RAISED]
    errors += [item for item in rules.values() if item.id.startswith("coverage.")]
    assert len(errors) > 150
    left = [rule.id for rule in errors for text in (rule.message, rule.remedy) if text and not _german(known, text)]
    assert left == []


def test_translations_name_the_same_facts() -> None:
    messages = [item for item in catalogue.load() if item.id and item.string]
    assert len(messages) > 2000
    assert [item.id for item in messages if _facts(item.id) != _facts(item.string)] == []


def _german(known, text: str) -> str:  # type: ignore[no-untyped-def]
    found = known.get(text)
    return str(found.string) if found else ""


def _facts(text: str) -> tuple[set[str | None], list[str]]:
    """Return the facts that a text has places for, and the arguments of the program that it names."""
    facts = {name for _, name, _, _ in string.Formatter().parse(text)} - {None}
    return facts, sorted(re.findall(r"\[\[.*?\]\]", text))

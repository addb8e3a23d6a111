"""Identifiers of lines and points that have none of their own."""

from __future__ import annotations

from taskdata.checks.registry import Check
from taskdata.isoxml.facts import elements
from taskdata.repairs.repair_work import RepairWork


def take_out(work: RepairWork, rule: str, check: Check) -> None:
    """Take out each identifier that a rule calls unwanted and nothing refers to."""
    named = {item.attributes[letter] for item, letter in work.references()}
    for element, _ in work.found(check):
        letter = elements()[element.tag].id_letter
        if letter is not None and element.id not in named:
            work.note(rule, element, element.id, None, "only what stands by itself has an identifier")
            del element.attributes[letter]
            work.touch()

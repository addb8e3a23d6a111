"""A finding in words."""

from __future__ import annotations

from taskdata.findings import Fact, Finding
from taskdata.repairs.journal import counted

__all__ = ["counted", "message", "remedy", "spoken", "standing"]


def message(finding: Finding) -> str:
    """Return what is wrong, as a sentence."""
    return _sentence(finding.rule.message, finding)


def remedy(finding: Finding) -> str:
    """Return what to do, as a sentence."""
    return _sentence(finding.rule.remedy, finding)


def spoken(fact: Fact) -> str:
    """Return a fact as it stands in a sentence: numbers plainly, nothing as ``none``."""
    if fact is None:
        return "none"
    return f"{fact:.10g}" if isinstance(fact, float) else str(fact)


def standing(finding: Finding) -> str:
    """Return where a finding stands, such as ``TASKDATA.XML:12 PFD1``; empty where it concerns the whole set."""
    place = finding.place
    spot = place.file or ""
    if place.line is not None:
        spot += f":{place.line}"
    if place.record is not None and "row" not in finding.facts:  # a row of a table, which the message counts from 1
        spot += f" record {place.record}"
    elif place.offset is not None:
        spot += f" byte {place.offset}"
    if place.location is not None:
        spot += f" at {_degrees(place.location[1], 'NS')}, {_degrees(place.location[0], 'EW')}"
    return " ".join(f"{spot} {place.element or ''}".split())


def _degrees(value: float, letters: str) -> str:
    return f"{abs(value):.7f} {letters[value < 0]}"


def _sentence(pattern: str, finding: Finding) -> str:
    facts = {name: spoken(value) for name, value in finding.facts.items()}
    text = " ".join(pattern.format_map(facts).split())
    return text if text.endswith((".", "!", "?")) else f"{text}."

"""The capabilities that a task controller states contradict each other.

What it checks
    That a task controller (TCC) states booms and sections only with the capability of section control, and control
    channels only with that of position-based control. The reach of the rule is judged: the standard calls 0 "not
    supported".
Why it matters
    The office plans maps and sections by these figures. Where they contradict, it plans what the machine cannot do,
    or leaves out what it can.
Example
    Bad: <TCC ... D="1" E="1" F="16" G="0"/>: 16 sections and no section control.
    Good: D="17" E="1" F="16", or D="1" E="0" F="0"
How to fix
    Ask the manufacturer of the terminal which of the two is right; do not rely on either until then.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="root.capabilities-disagree",
    severity=Severity.WARNING,
    message="{name} of the task controller is {number}, but it does not state the capability {wanted}.",
    remedy="Ask the manufacturer of the terminal which of the two is right.",
    clause="D.47",
    covers=("R-026",),
    since=4,
)
NEEDS = {
    "NumberOfBoomsSectionControl": "ImplementSectionControl",
    "NumberOfSectionsSectionControl": "ImplementSectionControl",
    "NumberOfControlChannels": "TCGeoWithPositionBasedControl",
}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each number that its capability does not allow."""
    values = elements()["TCC"].attributes[letter("TCC", "ProvidedCapabilities")].values
    bits = {value.name: value.low for value in values}
    for element in subject.tagged("TCC"):
        provided = _number(element, "ProvidedCapabilities")
        for name, wanted in NEEDS.items():
            number = _number(element, name)
            if number and provided is not None and not provided & bits[wanted]:
                yield RULE.at(subject.place(element), name=name, number=number, wanted=wanted)


def _number(element: Element, name: str) -> int | None:
    text = (element.get(name) or "").strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 5 else None

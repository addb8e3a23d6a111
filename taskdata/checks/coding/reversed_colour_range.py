"""A colour range ends before it begins.

What it checks
    That the lower end of a colour range (CRG) is not above its upper end. Both ends belong to the range.
Why it matters
    No value lies in such a range: its colour is never shown, and values meant for it get the default colour.
Example
    Bad: <CRG A="2000" B="1000" C="12"/>
    Good: <CRG A="1000" B="2000" C="12"/>
How to fix
    Exchange the two ends.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="coding.reversed-colour-range",
    severity=Severity.ERROR,
    message="The colour range from {value} to {other} contains no value.",
    remedy="Swap the two ends of the range.",
    clause="D.9",
    covers=("R-073",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each range whose lower end is above its upper end."""
    for element in subject.tagged("CRG"):
        low, high = integer(element, "MinimumValue"), integer(element, "MaximumValue")
        if low is not None and high is not None and low > high:
            yield RULE.at(subject.place(element), value=low, other=high)

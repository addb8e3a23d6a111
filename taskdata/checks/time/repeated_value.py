"""A time holds a value twice.

What it checks
    That a time (TIM) holds at most one value (DLV) for each quantity (DDI) and device element. Values out of network
    messages (DFFE) are told apart by group number and bits.
Why it matters
    Which of the two is the total is not clear; a program that adds them up doubles area and amount.
Example
    Bad: <DLV A="0074" B="59423" C="DET201"/> twice in one <TIM ...>.
    Good: once.
How to fix
    Remove the wrong one; the log, if there is one, shows which.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="time.repeated-value",
    severity=Severity.WARNING,
    message="A time of {element} holds DDI {value} of {target} more than once.",
    remedy="Remove the wrong one; the log, if there is one, shows which.",
    clause="6.8.3, D.17",
    covers=("R-136",),
)
KEYS = ("ProcessDataDDI", "DeviceElementIdRef", "DataLogPGN", "DataLogPGNStartBit", "DataLogPGNStopBit")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each value that repeats an earlier one of its time."""
    for time in subject.tagged("TIM"):
        seen: set[tuple[str, ...]] = set()
        for value in time.elements("DLV"):
            key = tuple((value.get(name) or "").upper() for name in KEYS)
            if key in seen and key[0] and key[1]:
                place = subject.place(value)
                facts = {"value": key[0], "target": value.get("DeviceElementIdRef")}
                yield RULE.at(place, severity=None, element=place.element or value.tag, **facts)
            seen.add(key)

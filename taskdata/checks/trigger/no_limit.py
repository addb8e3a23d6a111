"""A log trigger does not say how often or at which change.

What it checks
    That each method of a log trigger (DLT) has its value: time the time interval, distance the distance interval,
    threshold a minimum or maximum, change the change. The default data set (DDI DFFF) needs none. Judged.
Why it matters
    The terminal takes a value of its own or drops the method: the log is coarser than expected, or empty.
Example
    Bad: <DLT A="0002" B="1"/>
    Good: <DLT A="0002" B="1" D="1000"/>
How to fix
    Add the value, or remove the method.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.device._described import DEFAULT_SET
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="trigger.no-limit",
    severity=Severity.WARNING,
    message="A log trigger for DDI {value} uses the method {kind}, but gives no {wanted}.",
    remedy="Add the value, or remove the method.",
    clause="D.17",
    covers=("R-128",),
)
METHODS = (
    (1, "time interval", ("DataLogTimeInterval",)),
    (2, "distance interval", ("DataLogDistanceInterval",)),
    (4, "threshold limits", ("DataLogThresholdMinimum", "DataLogThresholdMaximum")),
    (8, "on change", ("DataLogThresholdChange",)),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each method without its value."""
    for trigger in subject.tagged("DLT"):
        text = trigger.get("DataLogDDI") or ""
        methods = integer(trigger, "DataLogMethod")
        if methods is None or methods < 0 or ddi_number(text.strip()) == DEFAULT_SET:
            continue
        for bit, kind, names in METHODS:
            if methods & bit and all(trigger.get(name) is None for name in names):
                yield RULE.at(subject.place(trigger), value=text, kind=kind, wanted=" or ".join(names))

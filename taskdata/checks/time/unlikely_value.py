"""A time holds a value that no machine has.

What it checks
    That the values (DLV) of a time (TIM), such as totals, contents, rates and speeds, lie within bounds that no machine
    at work leaves. The bounds are common practice, such as 10,000 ha for a task; the message states each.
Why it matters
    Most likely a unit was mistaken, the quantity is another one, or the file is damaged. Invoices follow it.
Example
    Bad: a total area (0074) of 59,423 ha.
    Good: 5.9423 ha.
How to fix
    Compare with the display of the machine or with the log, and correct the value.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._values import values
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import crossed, listed, shown, usual

RULE = Rule(
    id="time.unlikely-value",
    severity=Severity.WARNING,
    message="{name} of {target} in a time of {element} is {value}; {limit} is beyond common practice.",
    remedy="Compare with the display of the machine or with the log, and correct the value.",
    clause="D.18",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such value."""
    for task, value, ddi, raw in values(subject):
        own = listed(ddi)
        if own.hold(raw) and not usual(ddi).hold(raw):
            target, name = value.get("DeviceElementIdRef") or "no element", entry(ddi).plain_name
            facts = {"limit": crossed(usual(ddi), raw, ddi), "value": shown(raw, ddi)}
            yield RULE.at(subject.place(value), severity=None, name=name, target=target, element=spoken(task), **facts)

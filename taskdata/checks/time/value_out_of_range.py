"""A time holds a value outside the range of its quantity.

What it checks
    That the values (DLV) of a time (TIM) lie in the range that the data dictionary gives their quantity, where it gives
    one. Many ranges are from memory. Masks of section states have no range.
Why it matters
    The value was not measured: it stands for an error, or the quantity is another one. Invoices follow it.
Example
    Bad: an applied mass (0051) of -5 kg.
    Good: 0 kg.
How to fix
    Use the total of the log or of the machine, and correct the value.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device.negative_latency import LATENCY
from taskdata.checks.subject import Subject
from taskdata.checks.time._values import values
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import crossed, listed, shown

RULE = Rule(
    id="time.value-out-of-range",
    severity=Severity.WARNING,
    message="{name} of {target} in a time of {element} is {value}; {limit} is outside the range of the data "
    "dictionary.",
    remedy="Use the total of the log or of the machine, and correct the value.",
    clause="D.18",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such value."""
    for task, value, ddi, raw in values(subject):
        own = listed(ddi)
        if not own.hold(raw) and ddi != LATENCY:  # device.negative-latency tells it
            target, name = value.get("DeviceElementIdRef") or "no element", entry(ddi).plain_name
            facts = {"limit": crossed(own, raw, ddi), "value": shown(raw, ddi)}
            yield RULE.at(subject.place(value), severity=None, name=name, target=target, element=spoken(task), **facts)

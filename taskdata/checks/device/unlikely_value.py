"""A device states a measure that no machine has.

What it checks
    That widths, offsets, contents and other constants of a device (DPT) lie in the range of the data dictionary and
    within bounds that no machine leaves. The bounds are common practice, such as 100 m of width.
Why it matters
    Coverage, section control and the path of the machine follow these numbers.
Example
    Bad: <DPT A="3" B="0043" C="-24000" .../>, a working width of -24 m.
    Good: C="24000"
How to fix
    Measure the machine and have its device description corrected. Do not work with section control until then.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.device.negative_latency import LATENCY
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number, entry
from taskdata.quantities.plausible import crossed, left, shown

RULE = Rule(
    id="device.unlikely-value",
    severity=Severity.WARNING,
    message="{name} of {element} is {value}; {limit} is {what}.",
    remedy=(
        "Measure the machine and have its device description corrected; do not work with section control until then."
    ),
    clause="D.24",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such constant."""
    for element in subject.tagged("DPT"):
        ddi, raw = ddi_number(element.get("DevicePropertyDDI") or ""), integer(element, "DevicePropertyValue")
        found = None if ddi is None or raw is None or ddi == LATENCY else left(ddi, raw)
        if ddi is not None and raw is not None and found is not None:
            what, limits = found
            place = subject.place(element)
            facts = {"value": shown(raw, ddi), "what": what, "limit": crossed(limits, raw, ddi)}
            yield RULE.at(
                place, severity=None, name=entry(ddi).plain_name, element=place.element or element.tag, **facts
            )

"""A rate is offered without the total that belongs to it.

What it checks
    That a device, function or bin element with a rate of volume, mass or count gives the applied total of the same kind
    (DDI 0050 or 015F, 0051 or 0160, 0052). Which total belongs to which rate is from memory; rates that a sensor sends
    to others are left out.
Why it matters
    How much was applied can only be added up from the log, and a gap in the log is a gap in the amount.
Example
    Bad: a bin with DDI 0006 and without 0051.
    Good: also <DPD A="34" B="0051" C="2" D="17"/>
How to fix
    Load the device description from the machine again; if the fault is in it, note the amount by hand.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._rates import totals_of
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import BIN, DEVICE, FUNCTION, SOURCE, label, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.rate-without-total",
    severity=Severity.WARNING,
    message="{element} offers {what}, but no total of the amount applied.",
    remedy="Add the applied total of the same kind to the same element.",
    clause="F.3.3, F.3.4",
    covers=("R-228",),
    since=3,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element and kind of total that it lacks."""
    for part in parts(subject):
        if part.kind not in {DEVICE, FUNCTION, BIN} or not part.complete:
            continue
        seen: set[tuple[int, ...]] = set()
        for value in part.values:
            totals = totals_of(value.ddi) if value.ddi is not None and not value.flags & SOURCE else ()
            if not totals or totals in seen:
                continue
            seen.add(totals)
            if not part.of(*totals):
                place = subject.place(part.element)
                yield RULE.at(place, element=spoken(part.element), what=label(value.ddi or 0))

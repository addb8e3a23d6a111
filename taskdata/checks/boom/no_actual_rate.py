"""A boom takes a rate, but does not report what it applies.

What it checks
    That a boom with a settable setpoint rate gives the actual rate of the same kind, too. Setpoint and actual rate are
    paired by their names in the data dictionary.
Why it matters
    What was really applied cannot be logged; the record shows the plan.
Example
    Bad: a boom with DDI 0001 (setpoint) and without 0002 (actual).
    Good: both.
How to fix
    Load the device description from the machine again; if the fault is in it, treat its records as planned amounts.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import booms, setpoint_rates
from taskdata.checks.boom._rates import actual_of
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.no-actual-rate",
    severity=Severity.WARNING,
    message="The boom {element} accepts {what}, but does not report {wanted}.",
    remedy="Add the actual rate to the same element.",
    clause="F.3.4",
    covers=("R-226",),
    since=3,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each boom and setpoint rate without its actual rate."""
    for boom in booms(subject):
        for ddi in dict.fromkeys(value.ddi for value in setpoint_rates(boom)):
            wanted = None if ddi is None else actual_of(ddi)
            if ddi is not None and wanted is not None and boom.complete and not boom.of(wanted):
                place = subject.place(boom.element)
                yield RULE.at(place, element=spoken(boom.element), what=label(ddi), wanted=label(wanted))

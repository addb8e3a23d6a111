"""A boom takes a rate, but cannot be handed over to a prescription.

What it checks
    That a boom with a settable setpoint rate has the prescription control state (DDI 009E), settable and reported on
    change.
Why it matters
    By this state driver and terminal agree on who sets the rate. Without it the terminal may not begin, or overrules a
    rate that was set by hand.
Example
    Bad: a boom with DDI 0001 and without 009E.
    Good: also <DPD A="27" B="009E" C="2" D="8"/>
How to fix
    Load the device description from the machine again; if the fault is in it, set the rate by hand and watch it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import booms, setpoint_rates
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import ON_CHANGE, SETTABLE, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.no-prescription-control",
    severity=Severity.WARNING,
    message=(
        "The boom {element} accepts {what}, but has no prescription control state that is settable and reported on "
        "change."
    ),
    remedy="Add the prescription control state (009E), settable and on change, to the same element.",
    clause="F.3.4",
    covers=("R-226",),
    since=3,
)
PRESCRIPTION_CONTROL = 158


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each boom that is commanded without prescription control state."""
    for boom in booms(subject):
        rates = setpoint_rates(boom)
        control = boom.of(PRESCRIPTION_CONTROL)
        ready = any(value.flags & SETTABLE and value.triggers & ON_CHANGE for value in control)
        if rates and boom.complete and not ready:
            yield RULE.at(subject.place(boom.element), element=spoken(boom.element), what=label(rates[0].ddi or 0))

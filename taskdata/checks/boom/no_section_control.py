"""The sections of a boom can be commanded, but not handed over.

What it checks
    That each element with setpoint condensed work states (DDI 0122 to 0131) has the section control state (00A0), too.
Why it matters
    By this state driver and terminal agree on who switches the sections. Without it the terminal may not begin, or
    switches against the driver.
Example
    Bad: a boom with DDI 0122 and without 00A0.
    Good: also <DPD A="28" B="00A0" C="2" D="8"/>
How to fix
    Load the device description from the machine again; if the fault is in it, switch the sections by hand.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import label, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.no-section-control",
    severity=Severity.WARNING,
    message="{element} has {what}, but no section control state.",
    remedy="Add the section control state (00A0), settable and on change, to the same element.",
    clause="F.3.5",
    covers=("R-225",),
    since=3,
)
SECTION_CONTROL, COMMANDED = 160, range(290, 306)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element whose sections are commanded without section control state."""
    for part in parts(subject):
        found = part.of(*COMMANDED)
        if found and part.complete and not part.of(SECTION_CONTROL):
            what = label(found[0].ddi or COMMANDED[0])
            yield RULE.at(subject.place(part.element), element=spoken(part.element), what=what)

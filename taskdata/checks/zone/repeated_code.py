"""Two treatment zones of a task have the same code.

What it checks
    That the code of every treatment zone (TZN) is unique in its task.
Why it matters
    A grid cell or a default that names the code means two rates. Which one is applied depends on the terminal.
Example
    Bad: two <TZN A="1"> in one task.
    Good: A="1" and A="2"
How to fix
    Give one of them a free code, and correct the references to it. Do not work with the map until then.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="zone.repeated-code",
    severity=Severity.ERROR,
    message="Two treatment zones of {task} have the code {code}.",
    remedy="Give one of them a free code, and correct the references to it.",
    clause="D.50",
    covers=("R-148",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each zone whose code an earlier one has."""
    for task in subject.tagged("TSK"):
        seen: set[int] = set()
        for zone in task.elements("TZN"):
            code = integer(zone, "TreatmentZoneCode")
            if code is not None and code in seen:
                yield RULE.at(subject.place(zone), task=task.id or task.tag, code=code)
            elif code is not None:
                seen.add(code)

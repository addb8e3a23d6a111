"""A reference leads nowhere.

What it checks
    That every reference names an identifier of the set, in whichever file.
Why it matters
    The receiver cannot tell which field, farm, product or device is meant. Some drop the element, some the set.
Example
    Bad: <TSK A="TSK1" E="PFD9" .../> while the set has no PFD9.
    Good: E="PFD1", and a PFD with A="PFD1".
How to fix
    Correct the reference, add the missing element, or copy the external file that holds it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="reference.dangling",
    severity=Severity.ERROR,
    message="{name} of {element} refers to {target}, which is not in the set.",
    remedy="Correct the reference, or add the element {target}.",
    clause="8.4",
    covers=("R-043",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each well-formed reference without a target."""
    for reference in subject.references:
        shape = reference.fact.pattern
        if reference.text in subject.ids or (shape and not re.fullmatch(shape, reference.text)):
            continue
        place = subject.place(reference.element)
        owner = place.element or reference.element.tag
        yield RULE.at(place, name=reference.fact.name, element=owner, target=reference.text)

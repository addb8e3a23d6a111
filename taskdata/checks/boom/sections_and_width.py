"""The sections of a boom do not add up to its width.

What it checks
    That the widths of the sections directly below a device element add up to the width that the element itself states,
    where all of them are constants. Sections that do not meet are reported by boom.gap-or-overlap.
Why it matters
    The terminal draws one width and switches another. Areas are counted with the one, rates with the other.
Example
    Bad: a boom of 24 m with eight sections of 2.5 m.
    Good: a boom of 24 m with eight sections of 3 m.
How to fix
    Compare with the machine, correct the width of the boom or of a section, and load the device description again.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import WIDTHS
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.model.machines import Machine, Part, PartKind

DIFFERENCE = Tolerance("boom.sections-and-width.difference", 0.05, "m", "Allowed difference")
RULE = Rule(
    id="boom.sections-and-width",
    severity=Severity.WARNING,
    message="The {count} sections of {element} have a total width of {found} m, but {element} is {stated} m wide.",
    remedy="Measure the machine, and correct the width of the boom or of a section.",
    clause="F.3.5",
    tolerances=(DIFFERENCE,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each part whose sections do not add up."""
    for machine in subject.dataset.machines:
        for part, sections in _booms(machine):
            widths = [section.width_m for section in sections]
            found = sum(width for width in widths if width is not None)
            constant = None not in widths and all(map(_is_constant, (part, *sections)))
            if part.width_m and constant and abs(found - part.width_m) > subject.profile[DIFFERENCE]:
                sizes = {"found": round(found, 3), "stated": round(part.width_m, 3)}
                yield RULE.at(part.place, severity=None, element=part.id, count=len(sections), **sizes)


def _is_constant(part: Part) -> bool:
    """Tell whether no width of a part comes from the machine while it works."""
    return all(quantity.value is not None for quantity in part.quantities if quantity.ddi in WIDTHS)


def _booms(machine: Machine) -> Iterator[tuple[Part, list[Part]]]:
    """Yield each part with the sections directly below it."""
    below: dict[int, list[Part]] = {}
    for part in machine.parts:
        if part.kind is PartKind.SECTION:
            below.setdefault(part.parent, []).append(part)
    for part in machine.parts:
        if part.kind is not PartKind.SECTION and part.object_id in below:
            yield part, below[part.object_id]

"""The spacing of a guidance line fits no machine of the set.

What it checks
    That the distance between neighbouring passes is the width of a machine or part of the set or a multiple of it,
    where the set states widths. Passes are often laid a little closer than the machine is wide, so that they overlap.
Why it matters
    Every pass leaves a strip or works one twice. The set may lack the machine that the line is for, so this is only
    worth a look.
Example
    Bad: lines every 21 m in a set with a sprayer of 24 m and a drill of 3 m.
    Good: lines every 24 m, or every 23.9 m with 10 cm of overlap.
How to fix
    Correct the spacing of the line or the width of the machine.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.guidance._widths import widths
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

OVERLAP = Tolerance("guidance.spacing-of-no-machine.overlap", 5.0, "%", "Usual overlap of neighbouring passes")
GAP = Tolerance("guidance.spacing-of-no-machine.gap", 1.0, "%", "Allowed gap between neighbouring passes")
RULE = Rule(
    id="guidance.spacing-of-no-machine",
    severity=Severity.NOTE,
    message="The passes of {element} are {size} m apart; the machines or parts of the set are {text} m wide.",
    remedy="Correct the spacing of the line, or the width of the machine.",
    clause="D.30",
    tolerances=(OVERLAP, GAP),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line."""
    known = widths(subject)
    low, high = 1.0 - subject.profile[OVERLAP] / 100.0, 1.0 + subject.profile[GAP] / 100.0
    for field in subject.dataset.fields if known else ():
        for line in (*field.guidance, *field.line_guidance):
            size = line.spacing_m
            if size is not None and size > 0.0 and not any(_fits(size / width, low, high) for width in known):
                text = ", ".join(f"{width:g}" for width in known)
                yield RULE.at(line.place, element=line.id or field.id, size=round(size, 3), text=text)


def _fits(times: float, low: float, high: float) -> bool:
    """Tell whether a spacing is once, twice, ... a width, each with its overlap or gap."""
    nearest = max(1, round(times / ((low + high) / 2.0)))
    return low * nearest <= times <= high * nearest

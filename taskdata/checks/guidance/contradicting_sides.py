"""A guidance pattern counts passes on a side to which it does not spread.

What it checks
    That a pattern (GPN) that spreads to the left only counts no passes on the right, one to the right only none on the
    left, and one that does not spread none at all. A count of 0 contradicts nothing. Partly judged.
Why it matters
    One terminal obeys the direction, another the count: lines are missing on one, or appear where none are wanted.
Example
    Bad: <GPN A="GPN1" C="1" E="2" O="10">, left only with ten passes on the right.
    Good: <GPN A="GPN1" C="1" E="2" N="10">
How to fix
    Remove the count, or correct the direction.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="guidance.contradicting-sides",
    severity=Severity.WARNING,
    message="{element} has passes {what}, but {name} is {count}.",
    remedy="Remove the count, or correct the direction.",
    clause="D.30",
    covers=("R-187",),
    since=4,
)
LEFT, RIGHT = "NumberOfSwathsLeft", "NumberOfSwathsRight"
SPREADS = {2: ("to the left only", (RIGHT,)), 3: ("to the right only", (LEFT,)), 4: ("to no side", (LEFT, RIGHT))}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each count that contradicts the direction."""
    for pattern in subject.tagged("GPN"):
        what, names = SPREADS.get(integer(pattern, "GuidancePatternPropagationDirection") or 0, ("", ()))
        for name in names:
            count = integer(pattern, name)
            if count is not None and count > 0:
                place = subject.place(pattern)
                yield RULE.at(place, element=place.element or pattern.tag, what=what, name=name, count=count)

"""A pattern that is no pivot has the options of one.

What it checks
    That options (GuidancePatternOptions) and radius of a guidance pattern (GPN) are used with type 4, pivot, only.
    Judged: the standard explains them for pivots and does not forbid them elsewhere.
Why it matters
    They mean nothing for a line. Often the type is wrong: a pivot was meant.
Example
    Bad: <GPN A="GPN1" C="1" H="120000">
    Good: <GPN A="GPN1" C="4" H="120000">
How to fix
    Remove them, or correct the type of the pattern.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.guidance._patterns import kind_of
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.to_model.fields import PatternType

RULE = Rule(
    id="guidance.unwanted-pivot-option",
    severity=Severity.WARNING,
    message="{element} is not a pivot, but states {name}.",
    remedy="Remove it, or correct the type of the pattern.",
    clause="D.30",
    covers=("R-186",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each attribute of a pivot in another pattern."""
    for pattern in subject.tagged("GPN"):
        kind = kind_of(pattern)
        if kind is None or kind is PatternType.PIVOT:
            continue
        for name in ("GuidancePatternOptions", "GuidancePatternRadius"):
            if pattern.get(name) is not None:
                place = subject.place(pattern)
                yield RULE.at(place, element=place.element or pattern.tag, name=name)

"""An A+ pattern has no heading.

What it checks
    That a guidance pattern (GPN) of type 2, A+, gives its heading.
Why it matters
    It has one point only; without a heading nobody knows in which direction the machine is to be steered.
Example
    Bad: <GPN A="GPN1" C="2">
    Good: <GPN A="GPN1" C="2" G="87.5">
How to fix
    Enter the heading in degrees, clockwise from true north. Do not steer by the pattern until then.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.guidance._patterns import kind_of
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.to_model.fields import PatternType

RULE = Rule(
    id="guidance.no-heading",
    severity=Severity.ERROR,
    message="{element} is an A+ pattern without a heading.",
    remedy="Enter the heading in degrees, clockwise from true north.",
    clause="D.30",
    covers=("R-183",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each A+ pattern without a heading."""
    for pattern in subject.tagged("GPN"):
        if kind_of(pattern) is PatternType.A_PLUS and pattern.get("GuidancePatternHeading") is None:
            place = subject.place(pattern)
            yield RULE.at(place, element=place.element or pattern.tag)

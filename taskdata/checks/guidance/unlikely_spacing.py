"""The spacing of a guidance line is one that no machine has.

What it checks
    That the distance between neighbouring passes, which is stored as the width of the line, is more than nothing and no
    more than the widest machines work. The bounds are common practice: rows of 10 cm, booms of 50 m and twice that. A
    negative width in task data is reported as schema.invalid-value.
Why it matters
    With a spacing of 0 every pass lies on the first; with one of a kilometre there is a single pass in the field. Most
    likely the unit was mistaken: the width is in millimetres.
Example
    Bad: C="24" of a line for a machine of 24 m, which says 24 mm; C="0".
    Good: C="24000".
How to fix
    Enter the width of the machine, less the overlap, in millimetres; leave it out if it is not known.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

LEAST = Tolerance("guidance.unlikely-spacing.least", 0.1, "m", "Smallest distance between passes")
MOST = Tolerance("guidance.unlikely-spacing.most", 100.0, "m", "Largest distance between passes")
RULE = Rule(
    id="guidance.unlikely-spacing",
    severity=Severity.WARNING,
    message="The passes of {element} are {size} m apart; machines work {limit} m.",
    remedy="Enter the width of the machine, less the overlap, in millimetres; leave it out if it is not known.",
    clause="D.30, D.33",
    tolerances=(LEAST, MOST),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line."""
    least, most = subject.profile[LEAST], subject.profile[MOST]
    for field in subject.dataset.fields:
        for line in (*field.guidance, *field.line_guidance):
            size = line.spacing_m
            if size is None or (size < 0.0 and subject.document is not None):
                continue
            if not least <= size <= most:
                limit = f"{least:g} to {most:g}"
                yield RULE.at(line.place, element=line.id or field.id, size=round(size, 3), limit=limit)

"""The points of a layer are taken as the records of a log.

What it checks
    Whether points have times that go on from row to row, and places that a vehicle reaches in that time.
Why it matters
    They become the log of a task, so that distance, speed and coverage can be computed. They are not kept as single
    points of the field.
Example
    A table with a position, a time and a speed for each second of work.
How to fix
    Nothing, if they are a log.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.points-taken-as-log",
    severity=Severity.NOTE,
    message="The points of {layer} are taken as a log, since their times go on from row to row ({columns}).",
    remedy="If they are single places, leave out the column of times.",
)

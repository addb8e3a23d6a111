"""No outline of a field could be derived from a task.

What it checks
    That a task that lies in no field with a boundary has logs with positions, and that its implement has a width or its
    passes lie side by side, when outlines are to be derived.
Why it matters
    Missed area and area outside the field cannot be computed without an outline.
Example
    A log of one pass, of an implement that nothing describes.
How to fix
    Add the boundary of the field, or the width of the implement.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.no-outline",
    severity=Severity.NOTE,
    message="No outline was derived from {name}: {reason}.",
    remedy="Add the boundary of the field.",
)

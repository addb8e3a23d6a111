"""The outline of a field was made of where work was done.

What it checks
    Whether a task lies in a field with a boundary, when outlines are to be derived. The outline is that of the ground
    that was worked, or of half the spacing of the passes to each side of the track; gaps and notches up to 1.2 working
    widths are closed, holes below 200 m² filled, pieces below 500 m² left out.
Why it matters
    A field may reach beyond what was worked, and an outline that nobody measured is no boundary to steer or to apply
    by. The name of the boundary says that it is derived, and between which sizes its area lies.
Example
    The log of a drill, on a stick without fields.
How to fix
    Replace the outline by a measured boundary, as soon as there is one.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.field-derived",
    severity=Severity.NOTE,
    message="The outline of {name} is derived from {reason}: {area}.",
    remedy="Do not steer or apply by it before you have looked at it; replace it by a measured boundary.",
)

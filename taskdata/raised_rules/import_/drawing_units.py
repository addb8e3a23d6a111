"""A drawing says that its lengths are not metres.

What it checks
    Whether the header of a drawing (DXF, $INSUNITS) names another unit than the metre.
Why it matters
    Coordinates were taken as they stand, in the unit of the coordinate reference system. Where the header is right, the
    drawing then lies elsewhere and has another size; often it is only what a template left there.
Example
    A plan of drains in millimetres.
How to fix
    Check where the lines lie and how long they are. Save the drawing in metres where they are wrong.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.drawing-units",
    severity=Severity.WARNING,
    message="{file} says that its lengths are in {what}; its coordinates were taken as they stand.",
    remedy="Check where its lines lie and how long they are; save the drawing in metres where they are wrong.",
)

"""Lines or points of a layer lie far from every field.

What it checks
    That lines and points of a layer lie in a field, or no farther from one than a guidance line or a mark may (1 km,
    common practice).
Why it matters
    To which field they belong is not clear; a line in the wrong field is offered there, and steered by. They are put
    into a field of their own, without a boundary.
Example
    A layer of guidance lines of two farms, 500 km apart, beside the fields of one of them.
How to fix
    Add the fields that they belong to, or move them to theirs.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.far-from-fields",
    severity=Severity.WARNING,
    message="Lines and points of {layer} that are more than {limit} from every field: {count}. They go into a separate "
    "field.",
    remedy="Add the fields that they belong to, or move them to theirs.",
)

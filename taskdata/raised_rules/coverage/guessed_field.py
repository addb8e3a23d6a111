"""A task names no field; the one that most of its positions lie in is taken.

What it checks
    That a task names its field.
Why it matters
    The field with most of the positions is used; it may be the wrong one where fields overlap.
Example
    A log of a display that has no tasks.
How to fix
    Give the field with --field.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.guessed-field",
    severity=Severity.NOTE,
    message="{element} names no field; most of its positions lie in {name}, which is used.",
    remedy="Give another field with [[field]] where that is wrong.",
)

"""A code is not among those that the standard lists.

What it checks
    That codes of types and states are among those that the standard lists.
Why it matters
    Nobody can tell what is meant; the object is kept under the most general type, so it may be shown or treated
    differently from what was meant.
Example
    A polygon of type 37. It is read as an area of another kind.
How to fix
    Use a listed code.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="model.unknown-code",
    severity=Severity.WARNING,
    message="{name} of {element} ({tag}) is {text}, which the standard does not list; it was read as {taken}.",
    remedy="Correct the code in the program that wrote it, or tell its meaning to those who receive the set.",
    clause="Annex D",
)

"""An element stands where it may not.

What it checks
    That every element is in a parent that may hold it, not more often than allowed, under the root for its kind of
    file.
Why it matters
    A receiver looks for an element where the standard puts it; elsewhere it is lost, and the file is not valid.
Example
    A PNT directly under the root, a second GRD in one task, an XFR inside an external file.
How to fix
    Move the element into the parent that the message names, or remove the extra ones.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.misplaced-element",
    severity=Severity.ERROR,
    message="{element} is not allowed in {parent}: {reason}.",
    remedy="Move the element to where the standard allows it, or remove it.",
    clause="8.5, Annex D",
    covers=(
        "R-006",
        "R-010",
        "R-024",
        "R-029",
        "R-030",
        "R-032",
        "R-065",
        "R-072",
        "R-113",
        "R-114",
        "R-143",
        "R-155",
        "R-191",
        "R-192",
        "R-206",
    ),
)

"""An element lacks a child that the standard requires.

What it checks
    That every element holds the children it needs: a polygon its line strings, a line string its points, a device its
    elements, a guidance pattern its line.
Why it matters
    The element has no meaning without them, and the file is not valid.
Example
    <PLN A="1"/>: a polygon without a ring.
How to fix
    Add the children, or leave the element out.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.missing-element",
    severity=Severity.ERROR,
    message="{element} holds no {child}; at least one is required.",
    remedy="Add what is missing, or remove the element.",
    clause="Annex D",
    covers=("R-006", "R-091", "R-143"),
)

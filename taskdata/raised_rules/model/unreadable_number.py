"""An attribute that has to be a number is not one.

What it checks
    That attributes which are numbers by the standard can be read as such.
Why it matters
    The value counts as missing: an area, a width or an amount is missing where somebody expects it.
Example
    A swath width of 24,0 or 24 m instead of 24000.
How to fix
    Write digits, with a point for decimals and without a unit. The raw unit of each attribute is the standard's.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="model.unreadable-number",
    severity=Severity.ERROR,
    message="{name} of {element} ({tag}) is not a number: {text}.",
    remedy="Write a plain number; until then it counts as missing.",
    clause="Annex D",
)

"""An attribute that the standard requires is missing.

What it checks
    That every attribute that the standard requires is there.
Why it matters
    The receiver cannot know what the writer meant, and the file is not valid as a whole.
Example
    <PFD A="PFD1" D="12000"/> has no PFD.C PartfieldDesignator, the name of the field.
How to fix
    Add the attribute. Never invent positions, rates or identities of machines: lines steer machines, rates feed
    sprayers.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.missing-attribute",
    severity=Severity.ERROR,
    message="{attribute} is missing in {element}; expected {expected}.",
    remedy="Give the attribute a value; where nobody knows it, ask the program that wrote the file.",
    clause="Annex D",
    covers=("R-006", "R-061"),
)

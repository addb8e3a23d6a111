"""An element holds text.

What it checks
    That no element holds text. White space between elements is not text.
Why it matters
    Data belongs only in attributes; a receiver never sees the text, and the file is not valid.
Example
    <PFD A="PFD1" C="North" D="1">North</PFD>
How to fix
    Remove the text, or write it as the attribute it was meant for.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.text-content",
    severity=Severity.ERROR,
    message="{element} holds the text '{text}', but data belongs in attributes.",
    remedy="Move the text into the attribute it belongs to, or remove it.",
    clause="8.2, 8.3",
    covers=("R-006", "R-007"),
)

"""An object lacks what it cannot do without, and is left out.

What it checks
    That every object has what it needs: a zone its code, a grid its corner and cells, a line or ring its points, a
    guidance pattern its type.
Why it matters
    The object is missing in every list, map and figure. It stays in the file when the set is written again.
Example
    A guidance pattern of a type that the standard does not know. It is not guessed, because machines steer by it.
How to fix
    Correct the object where it was made, or delete it there.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="model.unreadable-object",
    severity=Severity.ERROR,
    message="{element} ({tag}) was left out: {reason}.",
    remedy="Correct the object in the program that wrote it; everything else in the set was read.",
    clause="Annex D",
    covers=("R-172", "R-177"),
)

"""An & in an XML file begins no entity.

What it checks
    Whether an XML file has an & that begins neither a character's number nor the name of an entity.
Why it matters
    XML requires &amp;: a strict reader refuses the whole set for the name of one customer.
Example
    <CTR A="CTR1" B="Brandt & Sohn"/>
How to fix
    Clean the set, or write &amp; at its origin. Names stay as they are meant.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.bare-ampersand",
    severity=Severity.ERROR,
    message=(
        "{file} has an unescaped & on line {line}, in {text} of {tag} (in the whole file: {count}); it was read as &."
    ),
    remedy="Clean the set, which writes it as &amp;. No XML parser accepts the file as it is.",
    clause="8.1",
    covers=("R-005",),
)

"""An amount is counted in something else than volume, mass or count.

What it checks
    That the quantity of a product (PDT) or of a product allocation (PAN) is one of three DDIs: 0048 (volume in ml),
    004B (mass in g) or 004E (count). That no other is allowed is judged; the standard names these three.
Why it matters
    A terminal does not know how to count the product and shows wrong amounts, or none.
Example
    Bad: <PDT A="PDT1" B="Lime" C="PGP1" E="0006"/>, a rate.
    Good: <PDT A="PDT1" B="Lime" C="PGP1" E="004B"/>
How to fix
    Choose 0048, 004B or 004E according to the state of the product.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number, entry

RULE = Rule(
    id="product.odd-quantity",
    severity=Severity.WARNING,
    message="{element} measures the product in {found}; it must be 0048, 004B or 004E.",
    remedy="Choose 0048 (volume), 004B (mass) or 004E (count).",
    clause="D.42, D.43",
    covers=("R-083",),
)
QUANTITIES = (0x48, 0x4B, 0x4E)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each quantity that is none of the three."""
    for element in (*subject.tagged("PDT"), *subject.tagged("PAN")):
        ddi = ddi_number(element.get("QuantityDDI") or "")
        if ddi is not None and ddi not in QUANTITIES:
            found = f"{ddi:04X} ({entry(ddi).plain_name})"
            yield RULE.at(subject.place(element), element=spoken(element), found=found)

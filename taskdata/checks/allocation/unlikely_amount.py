"""An allocated amount fits no tank or hopper.

What it checks
    That the amount of a product allocation (PAN) is not more than the largest tanks and trailers hold: 100 m³ or 100 t,
    by common practice.
Why it matters
    Usually litres were written as millilitres times a thousand, or kilograms for grams: stock and records are wrong.
Example
    Bad: <PAN A="PDT1" B="0048" C="2000000000"/>, which are 2000 m³.
    Good: C="2000000", which are 2000 L.
How to fix
    Write millilitres for 0048 and grams for 004B.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number
from taskdata.quantities.plausible import shown, usual

RULE = Rule(
    id="allocation.unlikely-amount",
    severity=Severity.WARNING,
    message="An allocation of {target} is {value}; the largest tanks and trailers hold {limit}.",
    remedy="Write millilitres for 0048 and grams for 004B.",
    clause="D.43",
)
QUANTITIES = {0x48, 0x4B}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such allocation."""
    for element in subject.tagged("PAN"):
        ddi, raw = ddi_number(element.get("QuantityDDI") or ""), integer(element, "QuantityValue")
        if ddi in QUANTITIES and ddi is not None and raw is not None and raw > usual(ddi).most:
            facts = {"value": shown(raw, ddi), "limit": shown(usual(ddi).most, ddi)}
            yield RULE.at(subject.place(element), severity=None, target=element.get("ProductIdRef"), **facts)

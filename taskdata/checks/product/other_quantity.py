"""A product that is counted by mass is applied or allocated by volume, or the other way round.

What it checks
    That what a setpoint (PDV) or an allocation (PAN) says of a product is of the same kind as the quantity in which the
    product (PDT) is measured: volume, mass or count. Where the product states the density between the two, it can be
    converted and is not checked.
Why it matters
    200 kg/ha and 200 L/ha are not the same dose. Without a density nobody can convert one into the other, and the tank
    or hopper is filled by the wrong figure.
Example
    Bad: <PDT A="PDT1" ... E="004B"/> (mass) and <PDV A="0001" B="20000" C="PDT1"/> (volume by area)
    Good: E="0048" (volume)
How to fix
    Correct the quantity of the product or of the task, or state the density of the product.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element
from taskdata.quantities.dictionary import ddi_number, entry

RULE = Rule(
    id="product.other-quantity",
    severity=Severity.WARNING,
    message="{name} ({value}) measures {target} by {found}; the product is measured by {wanted} and states no density.",
    remedy="Correct the quantity of the product or of the task, or state the density of the product.",
    clause="D.41, D.42, D.43",
)
PLACES = {"PDV": "ProcessDataDDI", "PAN": "QuantityDDI"}
KINDS = {
    "mm³": "volume",
    "ml": "volume",
    "L": "volume",
    "mg": "mass",
    "g": "mass",
    "kg": "mass",
    "": "count",
    "#": "count",
}
DENSITIES = {
    frozenset({"volume", "mass"}): "DensityMassPerVolume",
    frozenset({"mass", "count"}): "DensityMassPerCount",
    frozenset({"volume", "count"}): "DensityVolumePerCount",
}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each setpoint or allocation of another kind."""
    for tag, attribute in PLACES.items():
        for element in subject.tagged(tag):
            product = referred(subject, element, "ProductIdRef")
            ddi = ddi_number(element.get(attribute) or "")
            if product is None or ddi is None:
                continue
            found, wanted = _kind(ddi), _kind(ddi_number(product.get("QuantityDDI") or ""))
            if found is not None and wanted is not None and found != wanted and not _density(product, found, wanted):
                facts = {"value": f"{ddi:04X}", "found": found, "target": spoken(product), "wanted": wanted}
                yield RULE.at(subject.place(element), severity=None, name=entry(ddi).plain_name, **facts)


def _kind(ddi: int | None) -> str | None:
    """Return what an amount, or a rate by area or time, counts; None for what counts something else."""
    item = None if ddi is None else entry(ddi)
    if item is None or item.unit is None or item.group not in {"rate", "content", "total"}:
        return None
    amount, _, other = item.unit.partition("/")
    return KINDS.get(amount) if other in {"", "m²", "s"} else None


def _density(product: Element, found: str, wanted: str) -> bool:
    return (integer(product, DENSITIES[frozenset({found, wanted})]) or 0) > 0

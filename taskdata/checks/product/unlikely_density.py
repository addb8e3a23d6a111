"""A product has a density that nothing on a farm has.

What it checks
    That the densities of a product (PDT) lie within common practice: 0.1 to 3 kg/L by volume, and 0.01 g to 1000 kg for
    1000 pieces. 0 stands for not known.
Why it matters
    Amounts are converted with it: a tenfold density is a tenfold dose, or a tenth of it.
Example
    Bad: <PDT ... H="1050"/>, which is 1.05 g/L.
    Good: H="1050000", which is 1.05 kg/L.
How to fix
    Take the density from the label, and enter it in mg/L, and the mass of pieces in mg for 1000.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.plausible import crossed, shown, usual

RULE = Rule(
    id="product.unlikely-density",
    severity=Severity.WARNING,
    message="{name} of {element} is {value}; {limit} is beyond common practice.",
    remedy="Take the density from the label, and write it in mg/L, or in mg for 1000 pieces.",
    clause="D.42",
)
DENSITIES = {"DensityMassPerVolume": 121, "DensityMassPerCount": 122}
"""Attribute and the DDI of the same meaning."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such density."""
    for element in subject.tagged("PDT"):
        for name, ddi in DENSITIES.items():
            raw = integer(element, name)
            if raw is not None and raw > 0 and not usual(ddi).hold(raw):
                facts = {"value": shown(raw, ddi), "limit": crossed(usual(ddi), raw, ddi)}
                yield RULE.at(subject.place(element), severity=None, name=name, element=spoken(element), **facts)

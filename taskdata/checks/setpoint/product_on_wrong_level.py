"""The products of a nested setpoint stand on the wrong level.

What it checks
    That where setpoints (PDV) are nested, the outer one names no product and each inner one does. Partly judged. The
    outer one may leave its device element open until the machine is known.
Why it matters
    The inner setpoints are the shares of the products of a mixture. A share without a product cannot be filled or
    documented, and an outer product is counted beside its own parts.
Example
    Bad: <PDV A="0001" B="2000000" C="PDT5"><PDV A="0001" B="40000"/></PDV>
    Good: <PDV A="0001" B="2000000"><PDV A="0001" B="40000" C="PDT3"/></PDV>
How to fix
    Name the product in each inner setpoint, and none in the outer one.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="setpoint.product-on-wrong-level",
    severity=Severity.WARNING,
    message="{what} of {element}.",
    remedy="Name the product in each inner setpoint, and none in the outer one.",
    clause="D.41",
    covers=("R-156",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each outer setpoint with a product, and each inner one without."""
    for outer in subject.tagged("PDV"):
        inner = list(outer.elements("PDV"))
        if not inner or (outer.parent is not None and outer.parent.tag == "PDV"):
            continue
        odd = [(item, "A product is missing in a nested setpoint") for item in inner if _product(item) is None]
        if _product(outer) is not None:
            odd.insert(0, (outer, f"{_product(outer)} is named in an outer setpoint"))
        for item, what in odd:
            place = subject.place(item)
            yield RULE.at(place, what=what, element=place.element or item.tag)


def _product(setpoint: Element) -> str | None:
    return setpoint.get("ProductIdRef")

"""A planned task uses a mixture that was made for one use only.

What it checks
    That no planned task (status 1) and no template (5) uses a product of the type temporary mixture (3), in a product
    allocation (PAN) or a setpoint (PDV).
Why it matters
    Such a mixture was made on the spot, from what was left. Nobody should be able to pick it again: the next filling
    will not be the same.
Example
    Bad: a planned task with <PAN A="PDT6"/>, PDT6 of type 3.
    Good: a planned task with a product or a mixture of type 1 or 2.
How to fix
    Plan with a product or mixture that can be made again, or make the mixture one of type 2.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, referred, spoken
from taskdata.checks.product._mixtures import TEMPORARY
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="product.temporary-mixture-planned",
    severity=Severity.NOTE,
    message="{element} plans with {target}, a temporary mixture.",
    remedy="Plan with a product or mixture that can be made again, or give this mixture type 2.",
    clause="D.42",
    covers=("R-088",),
    since=4,
)
PLANNED, TEMPLATE = 1, 5


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each planned task and temporary mixture, at its first use."""
    seen: set[tuple[Element, Element]] = set()
    for element in (*subject.tagged("PAN"), *subject.tagged("PDV")):
        product = referred(subject, element, "ProductIdRef")
        if product is None or integer(product, "ProductType") != TEMPORARY:
            continue
        task = _task(element)
        if task is None or (task, product) in seen or integer(task, "TaskStatus") not in {PLANNED, TEMPLATE}:
            continue
        seen.add((task, product))
        yield RULE.at(subject.place(element), element=spoken(task), target=product.id)


def _task(element: Element) -> Element | None:
    node: Element | None = element
    while node is not None and node.tag != "TSK":
        node = node.parent
    return node

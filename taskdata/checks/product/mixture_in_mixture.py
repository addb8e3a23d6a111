"""A part of a mixture is itself a mixture.

What it checks
    That each component (PRN) of a mixture is a single product.
Why it matters
    Terminals add up recipes over one level. The products inside the inner mixture are not counted.
Example
    Bad: PDT5 is a mixture of PDT4 and PDT6, and PDT6 is of type 2.
    Good: PDT5 is a mixture of single products.
How to fix
    Name the single products that the inner mixture is made of, each with its amount.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.product._mixtures import is_mixture
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="product.mixture-in-mixture",
    severity=Severity.ERROR,
    message="{element} has the component {target}, which is itself a mixture.",
    remedy="Name the single products of the inner mixture instead, each with its amount.",
    clause="D.42, D.45",
    covers=("R-085",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each part that is a mixture."""
    for element in subject.tagged("PRN"):
        owner, part = element.parent, referred(subject, element, "ProductIdRef")
        if owner is not None and part is not None and part is not owner and is_mixture(part):
            yield RULE.at(subject.place(element), element=spoken(owner), target=part.id)

"""One thing stands twice in a set.

What it checks
    That no two customers, farms, workers, products, product groups, crop types, cultural practices, operation
    techniques, coded comments, base stations or colour legends are equal in all they say, names included, and differ
    in nothing but their identifiers. Two of one name with different addresses or other attributes are not meant.
Why it matters
    The driver sees one name twice and picks either; amounts and hours are spread over both.
Example
    Bad: <CTR A="CTR1" B="Söderhöft"/> and <CTR A="CTR4" B="Söderhöft"/>
    Good: one of them, or an address at each that tells the two apart.
How to fix
    Keep one and redirect all references to it. If they are two, add what tells them apart.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._content import doubled
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="identity.doubled",
    severity=Severity.WARNING,
    message="{element} and {other} are the same apart from their identifiers.",
    remedy="Keep one of them and redirect the references to it, or add what tells them apart.",
)
TAGS = ("CTR", "FRM", "WKR", "PGP", "PDT", "CTP", "OTQ", "CPC", "CCT", "BSN", "CLD")
"""In this order, as later ones refer to earlier ones."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such thing, at the later one."""
    same: dict[str, str] = {}
    for tag in TAGS:
        found = [element for element in subject.tagged(tag) if element.id is not None and len(element.attributes) > 1]
        for other, element in doubled(found, named=True, same=same):
            if element.id != other.id:
                same[str(element.id)] = str(other.id)
                yield RULE.at(subject.place(element), element=element.id, other=other.id)

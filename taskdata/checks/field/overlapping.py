"""Two fields overlap.

What it checks
    That boundaries of two fields have no shared area beyond what two surveys of one edge differ by. A field and the
    field it is part of are not compared. Fields that lie on one another wholly are reported by field.same-ground; here
    the first of them stands for all.
Why it matters
    Work there belongs to both fields: the terminal offers two of them, areas and amounts are counted twice.
Example
    Bad: the boundary of Kuhle reaches 20 m into Große Breite.
    Good: both end at the same hedge.
How to fix
    Correct the boundary that is wrong. If one is a part of the other, say so (PFD.I). Delete fields of other years.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._ground import spot
from taskdata.checks.field._common import common
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

AREA = Tolerance("field.overlapping.area", 100.0, "m²", "Smallest shared area that counts")
SHARE = Tolerance("field.overlapping.share", 1.0, "%", "Smallest share of the smaller field that counts")
WIDTH = Tolerance("field.overlapping.width", 1.0, "m", "Mean width by which two surveys do not differ")
RULE = Rule(
    id="field.overlapping",
    severity=Severity.WARNING,
    message="{other} and {element} overlap by {size} m², {share} % of the smaller one.",
    remedy="Correct the wrong boundary; if one field is part of the other, name the other as its parent.",
    tolerances=(AREA, SHARE, WIDTH),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each two such fields, at the later one."""
    profile = subject.profile
    for pair in common(subject):
        much = pair.area > profile[AREA] and pair.share > profile[SHARE] and pair.width > profile[WIDTH]
        if much:
            first, second = pair.first.field, pair.second.field
            place = spot(second.place, pair.location)
            size, share = round(pair.area), round(pair.share, 1)
            yield RULE.at(place, element=second.id, other=first.id, size=size, share=share)

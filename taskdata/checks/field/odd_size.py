"""A field is smaller or larger than fields are.

What it checks
    That each outer ring of a boundary is about as large on the ground as fields are. Boundaries with rings that are not
    valid, or that reach to latitude 0, longitude 0, are not checked.
Why it matters
    A ring of a few square metres is usually left over from drawing, one of thousands of hectares usually has one wrong
    corner or holds several fields. A trial plot or a large plain is as it should be, so this is only worth a look.
Example
    Bad: a boundary of a field with a second ring of 12 m².
    Good: the one ring of 13 ha.
How to fix
    Look at the ring on a map; delete it, correct it, or leave it as it is.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._course_sets import boundary_numbers, rings
from taskdata.checks._ground import HECTARE, spot
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.geodesy import ring_area

SMALLEST = Tolerance("field.odd-size.smallest", 0.05, "ha", "Smallest ring that is a field")
LARGEST = Tolerance("field.odd-size.largest", 1000.0, "ha", "Largest ring that is a field")
RULE = Rule(
    id="field.odd-size",
    severity=Severity.NOTE,
    message="An outer ring of {element} encloses {size} ha.",
    remedy="Look at it on a map: delete it, correct it, or leave it as it is.",
    tolerances=(SMALLEST, LARGEST),
)
ROUGH = 0.01
"""Share by which areas in the plane may differ from those on the ellipsoid."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such ring, at its first point."""
    smallest, largest = subject.profile[SMALLEST] * HECTARE, subject.profile[LARGEST] * HECTARE
    whole = rings(subject)
    odd = (whole.areas < smallest * (1.0 + ROUGH)) | (whole.areas > largest * (1.0 - ROUGH))
    if not odd.any():
        return
    for at, field in enumerate(subject.dataset.fields):
        numbers = list(boundary_numbers(subject, at))
        if not odd[numbers].any() or not whole.soundness.is_valid[numbers].all():
            continue
        courses = [whole.course(number) for number in numbers]
        if any(is_zero(ring.points).any() for ring in courses):
            continue
        for number, ring in zip(numbers, courses, strict=True):
            size = abs(ring_area(ring.points)) if odd[number] and not ring.is_hole else smallest
            if not smallest <= size <= largest:
                yield RULE.at(spot(ring.place, ring.points[0]), element=field.id, size=round(size / HECTARE, 4))

"""A binary point file holds other fields than the point that names it says.

What it checks
    That the fields that the point (PNT) leaves empty give sense. Where they do not, because a file does not end
    with a whole record, or places lie off the Earth or hundreds of kilometres apart, another choice of fields is
    tried. Judged.
Why it matters
    Every coordinate is read shifted: the boundary or line that comes out is nonsense, and must not steer a machine.
Example
    Bad: <PNT A="2" C="" D="" J="PNT00001"/> for records of type, latitude and longitude.
    Good: <PNT A="" C="" D="" J="PNT00001"/>
How to fix
    Compare with the program that wrote the file, and leave those attributes of the point empty that the records hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np

from taskdata.checks._ground import on_earth
from taskdata.checks.geometry._points import stored
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.geometry.arrays import Points, median
from taskdata.isoxml.binary.points import PointRecords, decode
from taskdata.isoxml.facts import BinaryField, binary_fields
from taskdata.isoxml.tree.element import POINT, Element

RULE = Rule(
    id="points.other-fields",
    severity=Severity.WARNING,
    message="{file} makes no sense with the fields that its point leaves empty ({wanted}), but {what}: {found}.",
    remedy="Leave the attributes of the point empty that the records hold; do not steer a machine by it until then.",
    clause="8.6.4",
    since=4,
)
NORTH, EAST = "PointNorth", "PointEast"
WIDEST_DEGREES = 2.0
"""Extent of one file that makes sense: about 200 km."""
NEAR_ZERO_DEGREES = 0.001
MOST = 0.5
"""Share of the places that make sense with the fields as stated: a few bad ones are points.out-of-range's."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such file."""
    for element in subject.tagged(POINT):
        found = fields_found(subject, element)
        if found:
            points = stored(subject, element)
            place = replace(subject.place(element), location=None)
            wanted = "none" if points is None else _spoken(points.layout.fields)
            what = "it does with others" if len(found) == 1 else f"it does with {len(found)} others, such as"
            file = f"{element['Filename']}.BIN"
            yield RULE.at(place, file=file, wanted=wanted, what=what, found=_spoken(found[0]))


def fields_found(subject: Subject, element: Element) -> list[tuple[BinaryField, ...]]:
    """Return the choices of fields with which the file of a point makes sense, where its own choice does not."""
    points = stored(subject, element)
    if points is None or _makes_sense(points, MOST):
        return []
    content = points.rows.tobytes() + points.trailing
    return [
        fields
        for fields in _choices()
        if fields != points.layout.fields and _makes_sense(decode(content, replace(points.layout, fields=fields)))
    ]


@cache
def _choices() -> tuple[tuple[BinaryField, ...], ...]:
    """Return every choice of fields with both coordinates, the fewest first."""
    fields = binary_fields("PNT")
    found = (choice for size in range(2, len(fields) + 1) for choice in combinations(fields, size))
    return tuple(choice for choice in found if {NORTH, EAST} <= {field.name for field in choice})


def _makes_sense(points: PointRecords, share: float = 1.0) -> bool:
    """Tell whether the records are whole, and this share of their places on Earth, off 0/0 and close together."""
    if points.trailing or not len(points):
        return not points.trailing
    if not {NORTH, EAST} <= {field.name for field in points.layout.fields}:
        return True  # which is not for this rule to say
    places: Points = np.column_stack([points.longitude(), points.latitude()])
    known = np.isfinite(places).all(axis=1)
    if not known.any():
        return share < 1.0
    middle = median(places[known])
    near = (np.abs(places - middle) < WIDEST_DEGREES / 2.0).all(axis=1) & on_earth(places)
    near &= (np.abs(places) > NEAR_ZERO_DEGREES).any(axis=1)
    return int(near.sum()) >= share * len(points)


def _spoken(fields: tuple[BinaryField, ...]) -> str:
    return ", ".join(field.name for field in fields) or "none"

"""A binary point file holds values that a point cannot have.

What it checks
    That the stored types, coordinates, colours and accuracies obey the ranges of the attributes of a point (PNT).
    Judged: the standard gives the ranges for the XML attributes only. Values marked not available are left out, and
    files that make sense with other fields: those are reported by points.other-fields. A latitude or longitude that
    does not exist is an error.
Why it matters
    Such a point lies nowhere on Earth. Usually the file does not belong to this point, or was written with other fields
    than the point says; then no coordinate of it is right, and no machine must be steered by it.
Example
    Bad: a stored latitude of 123.4 degrees.
    Good: latitudes from -90 to 90 degrees.
How to fix
    Export or copy the file again.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.geometry._points import stored
from taskdata.checks.points.other_fields import fields_found
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._watching import extent
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.binary.points import PointRecords
from taskdata.isoxml.facts import BinaryField, elements
from taskdata.isoxml.tree.element import POINT

RULE = Rule(
    id="points.out-of-range",
    severity=Severity.WARNING,
    message="{name} of {file} is out of range in {where}; the first is {value}.",
    remedy="Export or copy the file again; do not steer a machine by it.",
    clause="8.6.4",
    covers=("R-179",),
    since=4,
)
PLACE = ("PointNorth", "PointEast")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field of a file with values out of range, at the first such point."""
    for element in subject.tagged(POINT):
        points = stored(subject, element)
        if points is None or fields_found(subject, element):
            continue
        file = f"{element['Filename']}.BIN"
        blob = subject.file(file)
        for field in points.layout.fields:
            wrong = _wrong(points, field)
            if wrong.any():
                record = int(wrong.argmax())
                offset = record * points.layout.dtype.itemsize + _offset(points, field)
                name = file if blob is None else blob.name
                place = Place(file=name, element=subject.place(element).element, record=record, offset=offset)
                value, count = points.decimal_texts(field.name)[record], int(wrong.sum())
                where = extent(count, record, int(np.flatnonzero(wrong)[-1]))
                severity = Severity.ERROR if field.name in PLACE else RULE.severity
                yield RULE.at(place, severity=severity, file=name, name=field.name, where=where, value=value)


def _offset(points: PointRecords, field: BinaryField) -> int:
    """Return where in a record a field stands."""
    before = points.layout.fields[: points.layout.fields.index(field)]
    return sum(np.dtype(item.dtype).itemsize for item in before)


def _wrong(points: PointRecords, field: BinaryField) -> NDArray[np.bool_]:
    """Return where a field holds a value that its XML attribute cannot have."""
    fact = elements()[POINT].attributes[(field.source or "").partition(".")[2]]
    scale = Fraction(Decimal(field.scale)) / (1000 if (field.unit, fact.unit) == ("mm", "m") else 1)
    raw = points.column(field.name)
    wrong = np.zeros(len(raw), dtype=bool)
    if fact.minimum is not None:
        lowest = int(Fraction(Decimal(fact.minimum)) / scale)
        wrong |= raw < max(lowest, int(np.iinfo(raw.dtype).min))
    if fact.maximum is not None:
        highest = int(Fraction(Decimal(fact.maximum)) / scale)
        wrong |= raw > min(highest, int(np.iinfo(raw.dtype).max))
    return np.asarray(wrong & ~points.missing(field.name))

"""The stated area is not that of the boundary.

What it checks
    That the area that a field or polygon states is that of its rings on the ellipsoid, without holes. A stated 0 counts
    as not stated. Rings that are not valid, and fields whose boundary has overlapping parts, are not checked; so are
    fields whose latitude and longitude are swapped, which geometry.swapped-coordinates reports.
Why it matters
    Totals, seed and spray are worked out from the stated area. The area in a contract or a land register may differ by
    some percent for good reason; beyond a quarter one of the two is wrong, so this is a warning then, else a note.
Example
    Bad: a boundary round 12.98 ha in a field that states 129834 ha, or 13 m².
    Good: <PFD C="Kuhle" D="129834"> with the boundary of 12.98 ha.
How to fix
    Use the area of the boundary, or find out which of the two is outdated. Areas are whole square metres. Cleaning uses
    the area of the boundary if the two differ by less than a quarter; beyond that, the stated area is evidence and
    stays.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from taskdata.checks._course_sets import boundary_numbers, rings
from taskdata.checks._field_shapes import field_shape_of, shape_of
from taskdata.checks._ground import spot
from taskdata.checks.geometry._stated import swapped
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity, Tolerance
from taskdata.geometry.geodesy import polygon_area
from taskdata.model.dataset import Dataset
from taskdata.model.shapes import Area

SHARE = Tolerance("field.wrong-area.share", 5.0, "%", "Difference from which it is a note")
WARNING_SHARE = Tolerance("field.wrong-area.warning-share", 25.0, "%", "Difference from which it is a warning")
LEAST = Tolerance("field.wrong-area.least", 100.0, "m²", "Smallest difference that counts")
RULE = Rule(
    id="field.wrong-area",
    severity=Severity.NOTE,
    message="{element} states {stated} m², but its rings enclose {found} m².",
    remedy="Use the area of the boundary, or find out which of the two is outdated; areas are whole square metres.",
    clause="D.36, D.39",
    tolerances=(SHARE, WARNING_SHARE, LEAST),
)
ROUGH = 1.0
"""Percent by which areas in the plane may differ from those on the ellipsoid."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field and polygon whose areas differ."""
    turned = {id(field) for field in swapped(subject)}
    for at, field in enumerate(subject.dataset.fields):
        if id(field) in turned:
            continue
        if _is_odd(subject, field.declared_area_m2, boundary_numbers(subject, at)):
            plot = field_shape_of(subject, field.id)
            if plot is not None and plot.field is field:
                yield from _differing(subject, field.place, field.declared_area_m2, field.boundaries)
    for area in _areas(subject.dataset, turned):
        if (
            area.declared_area_m2
            and _is_odd(subject, area.declared_area_m2, rings(subject).numbers(area))
            and shape_of((area,)) is not None
        ):
            yield from _differing(subject, area.place, area.declared_area_m2, (area,))


def _areas(dataset: Dataset, turned: set[int]) -> Iterator[Area]:
    """Yield polygons of fields, without those whose ``id`` is among ``turned``, and of zones, where none is turned."""
    for field in dataset.fields:
        if id(field) in turned:
            continue
        yield from field.boundaries
        yield from field.areas
    for task in () if turned else dataset.tasks:
        for zone in task.zones:
            yield from zone.areas


def _is_odd(subject: Subject, stated: int | None, numbers: range) -> bool:
    """Tell, by areas in the plane, whether it is worth while to measure on the ellipsoid."""
    if stated is None or stated <= 0:
        return False
    whole = rings(subject)
    found = sum(-whole.areas[number] if whole.is_hole(number) else whole.areas[number] for number in numbers)
    return bool(abs(stated - found) > found * (subject.profile[SHARE] - ROUGH) / 100.0)


def _differing(subject: Subject, place: Place, stated: int | None, areas: tuple[Area, ...]) -> Iterator[Finding]:
    outer = [ring for area in areas for ring in area.exteriors]
    found = polygon_area(outer, [ring for area in areas for ring in area.interiors])
    difference = abs((stated or 0) - found)
    share = 100.0 * difference / found if found > 0.0 else 0.0
    if share > subject.profile[SHARE] and difference > subject.profile[LEAST]:
        severity = Severity.WARNING if share > subject.profile[WARNING_SHARE] else Severity.NOTE
        facts: dict[str, Any] = {"element": place.element, "stated": stated, "found": round(found)}
        yield RULE.at(spot(place, outer[0][0]), severity=severity, **facts)

"""Stated areas as witnesses of latitude and longitude that are swapped in every outline of a set."""

from __future__ import annotations

import numpy as np

from taskdata.checks._ground import on_earth
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import polygon_area
from taskdata.model.fields import Field
from taskdata.model.shapes import Area

AGREES = 0.05
"""Share of the outline by which an area that agrees with it may be off; as field.wrong-area passes over."""
DISAGREES = 0.25
"""Share beyond which a stated area and the outline contradict each other, as field.wrong-area warns."""


@once
def swapped(subject: Subject) -> tuple[Field, ...]:
    """Return all fields that state an area, if every outline contradicts it as stored and agrees with it when swapped.

    A place's latitude and longitude swapped give a strip of another width, as a degree of longitude is shorter there by
    the cosine of the latitude. One outline that does not follow speaks against it, and none is returned. Made once for
    a set.
    """
    return _swapped(subject)


def _swapped(subject: Subject) -> tuple[Field, ...]:
    found = []
    for field in subject.dataset.fields:
        stated = _stated(field)
        if stated is None or not field.boundaries:
            continue
        if not _is_swapped(stated, field.boundaries):
            return ()
        found.append(field)
    return tuple(found)


def _stated(field: Field) -> int | None:
    """Return the area that a field states, or else its only boundary."""
    whole = field.declared_area_m2
    if not whole and len(field.boundaries) == 1:
        whole = field.boundaries[0].declared_area_m2
    return whole if whole and whole > 0 else None


def _is_swapped(stated: int, areas: tuple[Area, ...]) -> bool:
    outer = [ring for area in areas for ring in area.exteriors]
    inner = [ring for area in areas for ring in area.interiors]
    if not all(_can_be_swapped(ring) for ring in (*outer, *inner)):
        return False
    stored = polygon_area(outer, inner)
    if abs(stated - stored) <= DISAGREES * stored:
        return False
    other = polygon_area([_turned(ring) for ring in outer], [_turned(ring) for ring in inner])
    return abs(stated - other) <= AGREES * other


def _can_be_swapped(ring: Points) -> bool:
    return len(ring) > 2 and bool(np.isfinite(ring).all() and on_earth(ring).all() and on_earth(_turned(ring)).all())


def _turned(ring: Points) -> Points:
    return np.ascontiguousarray(ring[:, ::-1])

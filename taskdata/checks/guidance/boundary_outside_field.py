"""The area of a guidance pattern or group reaches outside its field.

What it checks
    That the polygons of guidance patterns (GPN) and groups (GGP) lie within the boundary of their field. Up to one
    metre outside is allowed, as surveys differ; that allowance is judged. Fields without a boundary are not checked.
Why it matters
    Lines are shown, and followed, where the field has ended: over a ditch or on the neighbour's land.
Example
    Bad: a group of lines that is valid 20 m into the neighbouring field.
    Good: its polygon cut off at the boundary of the field.
How to fix
    Cut the polygon off at the boundary, or move the group to the field it belongs to.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import shapely

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.geometry.areas import GroundPart, in_plane
from taskdata.geometry.nearest import Site
from taskdata.model.fields import Field
from taskdata.model.shapes import Area

RULE = Rule(
    id="guidance.boundary-outside-field",
    severity=Severity.WARNING,
    message="An area in which guidance of {element} is valid reaches {size} m outside the boundary of the field.",
    remedy="Cut it at the boundary, or move the guidance to its field.",
    clause="D.29, D.30",
    covers=("R-188",),
    since=4,
)
ALLOWED_M = 1.0
STEPS = 200


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such area, at the place that lies farthest outside."""
    for field in subject.dataset.fields:
        areas = [area for group in field.groups for area in group.boundaries]
        areas += [area for line in field.guidance for area in line.boundaries]
        if areas and field.boundaries:
            yield from _outside(subject, field, areas)


def _outside(subject: Subject, field: Field, areas: list[Area]) -> Iterator[Finding]:
    site = Site.of([GroundPart(area.exteriors) for area in field.boundaries])
    if site is None:
        return
    plane, whole = site.plane, site.shape
    allowed = shapely.buffer(whole, ALLOWED_M)
    for area in areas:
        beyond = in_plane([GroundPart(area.exteriors)], plane).shape
        outside = shapely.Polygon() if beyond is None else shapely.difference(beyond, allowed)
        if not outside.is_empty:
            points = shapely.get_coordinates(shapely.segmentize(outside, max(shapely.length(outside) / STEPS, 0.1)))
            far = shapely.distance(whole, shapely.points(points))
            lon, lat = plane.inverse(points[far.argmax()])[0].tolist()
            place = replace(area.place, location=(lon, lat))
            yield RULE.at(place, element=area.place.element or field.id, size=round(float(far.max()), 1))

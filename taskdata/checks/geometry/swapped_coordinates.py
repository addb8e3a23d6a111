"""Latitude and longitude are swapped.

What it checks
    That no shape of a field lies far from the other fields of its farm (else its customer, else all), while it would
    lie among them with latitude and longitude swapped; at least three fields are needed to tell. And that the outlines
    of the set do not all contradict the areas stated for them, while each agrees with its own once swapped: a degree of
    longitude is shorter than one of latitude, so a swapped outline is of another size. One field is enough for that.
Why it matters
    The field lies in another country. On the machine it cannot be found, and nothing is worked or logged in it.
Example
    Bad: fields at 54.3 north, 7.0 east, and one at 7.0 north, 54.3 east.
    Bad: all fields at 7.0 north, 54.3 east, round 15.6 ha each where 9.2 ha are stated.
    Good: all of them at 54.3 north, 7.0 east.
How to fix
    Swap them in the program that wrote the set. Many formats have longitude first, task data has latitude first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from taskdata.checks._ground import spot
from taskdata.checks.geometry._homes import misplaced_shapes
from taskdata.checks.geometry._stated import swapped
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

FAR = Tolerance(
    "geometry.swapped-coordinates.far", 100.0, "km", "Distance from the other fields from which it is wrong"
)
NEAR = Tolerance("geometry.swapped-coordinates.near", 25.0, "km", "Distance up to which it is right, once swapped")
RULE = Rule(
    id="geometry.swapped-coordinates",
    severity=Severity.WARNING,
    message=(
        "Shapes of {element} are {size} km from the other fields ({count} in all); with latitude and longitude "
        "swapped they would be {value} km away."
    ),
    remedy="Swap latitude and longitude in the program that wrote the set.",
    tolerances=(FAR, NEAR),
)
ALL = replace(
    RULE,
    message=(
        "All outlines contradict their stated areas (fields: {count}); with latitude and longitude swapped, all agree."
    ),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field with such shapes, at the first of them, or one for all fields together."""
    fields = swapped(subject)
    if fields:
        lon, lat = fields[0].boundaries[0].exteriors[0][0].tolist()
        yield ALL.at(spot(fields[0].place, (lon, lat)), count=len(fields))
        return
    for item in misplaced_shapes(subject, lambda points: points[:, ::-1], subject.profile[FAR], subject.profile[NEAR]):
        facts: dict[str, Any] = {"count": item.count, "size": round(item.stored_km), "value": round(item.taken_km, 1)}
        yield RULE.at(spot(item.place, item.location), element=item.field.id, **facts)

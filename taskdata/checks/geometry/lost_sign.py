"""Latitude or longitude has the wrong sign.

What it checks
    That no shape of a field lies far from the other fields of its farm (else its customer, else all), while it would
    lie among them with the other sign of latitude, longitude or both. At least three fields are needed to tell.
Why it matters
    The field lies on the other side of the equator or of Greenwich. On the machine it cannot be found, and nothing is
    worked or logged in it.
Example
    Bad: fields at 54.3 north, 7.0 west (-7.0), and one at 54.3, 7.0 without the minus sign.
    Good: all of them at 54.3, -7.0.
How to fix
    Correct the sign. South and west are negative; letters for the hemisphere do not exist in task data.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from taskdata.checks._ground import spot
from taskdata.checks.geometry._homes import misplaced_shapes
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

FAR = Tolerance("geometry.lost-sign.far", 100.0, "km", "Distance from the other fields from which it is wrong")
NEAR = Tolerance("geometry.lost-sign.near", 25.0, "km", "Distance up to which it is right with the other sign")
RULE = Rule(
    id="geometry.lost-sign",
    severity=Severity.WARNING,
    message=(
        "Shapes of {element} are {size} km from the other fields ({count} in all); with the other sign of {what} they "
        "would be {value} km away."
    ),
    remedy="Correct the sign; south and west are negative.",
    tolerances=(FAR, NEAR),
)
SIGNS = {"longitude": (-1.0, 1.0), "latitude": (1.0, -1.0), "latitude and longitude": (-1.0, -1.0)}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field with such shapes, at the first of them."""
    for what, factors in SIGNS.items():
        signs = np.array(factors)
        for item in misplaced_shapes(subject, signs.__mul__, subject.profile[FAR], subject.profile[NEAR]):
            facts: dict[str, Any] = {
                "count": item.count,
                "size": round(item.stored_km),
                "value": round(item.taken_km, 1),
            }
            yield RULE.at(spot(item.place, item.location), element=item.field.id, what=what, **facts)

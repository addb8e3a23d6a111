"""A ring does not end where it begins.

What it checks
    That the last point of a line string (LSG) of the types 1 and 2 repeats the first, in sets of version 4. Before, a
    ring was closed by joining its last point to the first.
Why it matters
    Some terminals refuse an open ring; others close it, with a straight edge that nobody surveyed.
Example
    Bad: four <PNT> for the four corners of a field.
    Good: a fifth <PNT> with the coordinates of the first.
How to fix
    Repeat the first point at the end. Where the gap is long, look for points that were lost.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from taskdata.checks.geometry._rings import rings
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import line_length

RULE = Rule(
    id="geometry.open-ring",
    severity=Severity.ERROR,
    message="A ring of {element} is open: its last point is {size} m from the first.",
    remedy="Repeat the first point at the end; if the gap is long, look for lost points.",
    clause="D.33",
    covers=("R-167",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each ring that is open, at its last point."""
    found = rings(subject)
    for number in np.flatnonzero(~found.facts.is_closed & (found.distinct > 2)).tolist():
        ring = found[number]
        ends = ring.points[[0, -1]]
        if not _same(ends):
            place = replace(subject.place(ring.element), location=(float(ends[1, 0]), float(ends[1, 1])))
            yield RULE.at(place, element=place.element or ring.element.tag, size=round(line_length(ends), 3))


def _same(ends: Points) -> bool:
    first, last = ends
    return bool((first == last).all()) or (first[1] == last[1] and bool((np.abs([first[0], last[0]]) == 180.0).all()))

"""Findings on the map: where they state it, else at the thing that they are about."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from taskdata.findings import Finding, Severity
from taskdata.model.dataset import Dataset
from taskdata.model.whereabouts import bounds_of
from taskdata.page.scene import Coordinates, Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import styles

MARK = "finding-{}"
"""What a finding is called in the page, by its number in the audit."""


def finding_layers(findings: Sequence[Finding], dataset: Dataset, word: Wording) -> Iterator[SceneLayer]:
    """Yield the places of findings, a layer for each severity, the gravest topmost."""
    places = places_of(dataset, {item.place.element for item in findings if item.place.location is None})
    for severity in reversed(Severity):
        shapes = [
            _shape(item, at, MARK.format(number), word)
            for number, item in enumerate(findings)
            if item.severity is severity and (at := _place(item, places)) is not None
        ]
        yield SceneLayer(f"findings-{severity}", word.t(styles()[severity].label), shapes)


def _shape(finding: Finding, at: Coordinates, mark: str, word: Wording) -> Shape:
    facts = [(word.t("What to do"), word.remedy(finding))]
    return Shape(Form.POINT, [[at]], finding.severity, word.message(finding), facts, mark=mark)


def places_of(dataset: Dataset, wanted: Collection[str | None] | None = None) -> dict[str, tuple[float, float]]:
    """Return where things with an identifier of their own lie, the middle of the box around them in degrees.

    Parameters
    ----------
    wanted : collection of str or None, optional
        Identifiers, of which alone places are looked for.
    """
    found: dict[str, tuple[float, float]] = {}
    twice: set[str] = set()
    asked = None if wanted is None else {*wanted, *(task.field for task in dataset.tasks if task.id in wanted)}

    def note(identifier: str | None, parts: Sequence[Coordinates]) -> None:
        box = bounds_of(parts) if identifier and parts and (asked is None or identifier in asked) else None
        if box is not None and identifier is not None:
            west, south, east, north = box
            twice.update({identifier} & found.keys())
            found.setdefault(identifier, ((west + east) / 2.0, (south + north) / 2.0))

    for field in dataset.fields:
        note(field.id, [ring for area in (field.boundaries or field.areas) for ring in area.exteriors])
        for area in (*field.boundaries, *field.areas):
            note(area.id, list(area.exteriors))
        for line in field.lines:
            note(line.id, [line.points])
        for course in field.guidance:
            note(course.id, [course.points])
        for point in field.points:
            note(point.id, [np.array([[point.lon, point.lat]])])
    for task in dataset.tasks:
        note(task.id, [ring for zone in task.zones for area in zone.areas for ring in area.exteriors])
        if task.field in found:
            found.setdefault(task.id, found[task.field])
    return {identifier: at for identifier, at in found.items() if identifier not in twice}


def field_of_things(dataset: Dataset) -> dict[str, str]:
    """Return the field, by identifier, of each thing that lies in one."""
    found: dict[str, str] = {}
    for field in dataset.fields:
        ids = [
            *(item.id for item in (*field.boundaries, *field.areas)),
            *(item.id for item in field.lines),
            *(item.id for item in field.points),
            *(item.id for group in field.groups for item in group.lines),
            *(group.id for group in field.groups),
        ]
        found |= dict.fromkeys([field.id, *filter(None, ids)], field.id)
    return found | {task.id: task.field for task in dataset.tasks if task.field}


def _place(finding: Finding, places: dict[str, tuple[float, float]]) -> Coordinates | None:
    stated = finding.place.location
    at = stated if stated is not None else places.get(finding.place.element or "")
    if at is None or not (abs(at[0]) <= 180.0 and abs(at[1]) <= 90.0):
        return None
    return np.array([at])

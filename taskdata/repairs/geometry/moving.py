"""Shapes of a field that lie far away, brought home: the texts of their coordinates change places or signs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeAlias

import numpy as np

from taskdata.findings import Finding
from taskdata.geometry.geodesy import inverse
from taskdata.geometry.metres import on_earth
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.repairs.repair_work import RepairWork

TOGETHER_M = 50_000.0
"""Shapes of one field this close to a lost one are lost with it; the rules take less than 25 km for being at home."""

Turn: TypeAlias = Callable[[str, str], tuple[str, str]]
"""From the texts of latitude and longitude to those that are right."""


def swapped(north: str, east: str) -> tuple[str, str]:
    """Return longitude as latitude and latitude as longitude."""
    return east, north


def mirrored(north: str, east: str, *, lon: bool, lat: bool) -> tuple[str, str]:
    """Return latitude, longitude or both with the other sign."""
    return _negated(north) if lat else north, _negated(east) if lon else east


def move_lost(work: RepairWork, rule: str, found: tuple[Element, Finding], turn: Turn, reason: str) -> None:
    """Turn every shape of a field that lies with the one that was found."""
    finding = found[1]
    field: Element | None = found[0]
    while field is not None and field.tag != "PFD":
        field = field.parent
    if field is None or finding.place.location is None:
        return
    for shape in _shapes(field):
        points = shape.own_coordinates() if shape.tag == POINT else shape.coordinates()
        if _lies_near(points, finding.place.location):
            before, after = _turn(shape, turn)
            work.note(rule, shape, before, after, reason)


def turn_all(work: RepairWork, rule: str, turn: Turn, reason: str) -> None:
    """Turn every shape of every field, zone and pattern that lies near the first place of a field's outline."""
    if any(item.get("Filename") is not None for item in work.tagged(POINT)):
        return
    homes = [shape.coordinates()[:1] for field in work.tagged("PFD") for shape in _shapes(field) if shape.tag == "LSG"]
    homes = [home for home in homes if len(home) and np.isfinite(home).all() and on_earth(home).all()]
    spots = np.unique(np.round(np.concatenate(homes), 1), axis=0) if homes else np.empty((0, 2))
    for root in [file.root for file in work.document.task_files]:
        for shape in _shapes(root):
            points = shape.own_coordinates() if shape.tag == POINT else shape.coordinates()
            if any(_lies_near(points, (lon, lat)) for lon, lat in spots.tolist()):
                before, after = _turn(shape, turn)
                work.note(rule, shape, before, after, reason)


def _shapes(field: Element) -> Iterator[Element]:
    """Yield lines, rings and single points of a field, not those of fields below it."""
    for element in field.walk():
        single = element.tag == POINT and element.parent is not None and element.parent.tag != "LSG"
        if element.tag == "LSG" or single:
            yield element


def _lies_near(points: np.ndarray[tuple[int, int], np.dtype[np.float64]], location: tuple[float, float]) -> bool:
    if not len(points) or not np.isfinite(points).all() or not on_earth(points).all():
        return False
    middle = (points.min(axis=0) + points.max(axis=0)).reshape(1, 2) / 2.0
    return bool(inverse(middle, np.array([location]))[1][0] < TOGETHER_M)


def _turn(shape: Element, turn: Turn) -> tuple[str, str]:
    """Turn all points of a shape; return its first one before and after."""
    north, east = letter(POINT, "PointNorth"), letter(POINT, "PointEast")
    first: list[tuple[str, str]] = []
    if shape.tag == POINT:
        first += _turn_element(shape, turn, north, east)
    for position, child in enumerate(shape.children):
        if isinstance(child, PointRun):
            texts = {name: child.texts(name) for name in child.names}
            pairs = [turn(*pair) for pair in zip(texts[north], texts[east], strict=True)]
            first += [(texts[north][0], texts[east][0]), pairs[0]]
            texts[north], texts[east] = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
            run = PointRun.of(texts)
            run.store.lines = child.store.lines[child.start : child.stop]
            shape.children[position] = run
        elif isinstance(child, Element) and child.tag == POINT:
            first += _turn_element(child, turn, north, east)
    return f"{first[0][0]}, {first[0][1]}", f"{first[1][0]}, {first[1][1]}"


def _turn_element(point: Element, turn: Turn, north: str, east: str) -> list[tuple[str, str]]:
    before = (point.attributes[north], point.attributes[east])
    point.attributes[north], point.attributes[east] = after = turn(*before)
    return [before, after]


def _negated(text: str) -> str:
    plain = text.strip()
    if plain.startswith("-"):
        return plain[1:]
    digits = plain.removeprefix("+")
    return digits if not digits.strip("0.") else f"-{digits}"

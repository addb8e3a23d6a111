"""Every shape of a set as it is stored, to be told apart from the shapes of another set."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine
from taskdata.model.shapes import Area, LineKind
from taskdata.page.encoding import STEPS
from taskdata.page.layers.ground import AREA_WORDS, LINE_WORDS, POINT_WORDS, titled
from taskdata.page.layers.guidance import KIND_WORDS, course_of
from taskdata.page.scene import Coordinates, Form
from taskdata.page.wording import Wording
from taskdata.reports.inspect import field_document
from taskdata.translations import N_

_RADIAL = {GuidanceKind.PIVOT, GuidanceKind.A_PLUS}
"""Guidance whose points are not on the line that is steered."""


@dataclass(frozen=True)
class Thing:
    """A field, area, line, point or zone with its shape.

    Parameters
    ----------
    keys : tuple of str
        Its identifiers: of a field also those of its boundaries.
    title : str
        What it is, with name and identifier.
    form : Form
        `Form.AREA` for what has rings, which are drawn as lines.
    parts : sequence of float64 (n, 2)
        Rings as stored, lines or points, longitude and latitude in degrees.
    areas : sequence of Area
        Of what has rings.
    """

    keys: tuple[str, ...]
    title: str
    form: Form
    parts: Sequence[Coordinates]
    areas: Sequence[Area] = ()

    @cached_property
    def print(self) -> frozenset[bytes]:
        """What two shapes have in common that no map can show apart: the same points, wherever a ring begins."""
        return frozenset(_print(part, ring=self.form is Form.AREA) for part in self.parts)

    def facts(self, word: Wording) -> list[tuple[str, str]]:
        """Return its size and how many points it has."""
        found = []
        if self.areas:
            size = field_document(Field("", "", boundaries=tuple(self.areas)))["area_m2"]
            found.append((word.t("Area"), word.area(size)))
        if self.form is not Form.POINT:
            found.append((word.t("Shape points"), word.number(sum(len(part) for part in self.parts), 0)))
        return found


def things_of(dataset: Dataset, word: Wording) -> Iterator[Thing]:
    """Yield all that has a shape; positions that are none are left out."""
    for field in dataset.fields:
        yield from _of_field(field, word)
    for task in dataset.tasks:
        for zone in task.zones:
            title = f"{word.t('Zone {code}', code=zone.code)}, {task.name or task.id}"
            yield from _ringed((task.id,), title, zone.areas)


def _of_field(field: Field, word: Wording) -> Iterator[Thing]:
    keys = (field.id, *(area.id for area in field.boundaries if area.id))
    yield from _ringed(keys, titled(word.t(N_("Field")), field.name, field.id), field.boundaries)
    for area in field.areas:
        yield from _ringed(_keys(area.id), titled(word.t(AREA_WORDS[area.kind]), area.name, area.id), [area])
    for line in field.lines:
        kind = N_("Guidance line") if line.kind is LineKind.GUIDANCE else LINE_WORDS.get(line.kind, N_("Line"))
        yield from _drawn(_keys(line.id), titled(word.t(kind), line.name, line.id), Form.LINE, line.points)
    for course in field.guidance:
        title = titled(word.t(KIND_WORDS[course.kind]), course.name, course.id)
        yield from _drawn(_keys(course.id), title, Form.LINE, _steered(course))
    for point in field.points:
        title = titled(word.t(POINT_WORDS[point.kind]), point.name, point.id)
        yield from _drawn(_keys(point.id), title, Form.POINT, np.array([[point.lon, point.lat]]))


def _ringed(keys: tuple[str, ...], title: str, areas: Sequence[Area]) -> Iterator[Thing]:
    rings = [_sound(ring) for area in areas for ring in (*area.exteriors, *area.interiors)]
    kept = [_closed(ring) for ring in rings if len(ring) > 1]
    if kept:
        yield Thing(keys, title, Form.AREA, kept, areas)


def _drawn(keys: tuple[str, ...], title: str, form: Form, points: Coordinates) -> Iterator[Thing]:
    sound = _sound(points)
    if len(sound) > (form is Form.LINE):
        yield Thing(keys, title, form, [sound])


def _steered(line: GuidanceLine) -> Coordinates:
    plane = LocalPlane.about([line.points]) if line.kind in _RADIAL else None
    shown = None if plane is None else course_of(line, plane)
    return line.points if shown is None else shown


def _keys(identifier: str | None) -> tuple[str, ...]:
    return (identifier,) if identifier else ()


def _sound(points: Coordinates) -> Coordinates:
    return points[np.isfinite(points).all(axis=1) & (np.abs(points) <= (360.0, 90.0)).all(axis=1)]


def _closed(ring: Coordinates) -> Coordinates:
    return ring if (ring[0] == ring[-1]).all() else np.vstack([ring, ring[:1]])


def _print(part: Coordinates, *, ring: bool) -> bytes:
    whole = np.rint(part * STEPS).astype(np.int64)
    if not ring:
        return whole.tobytes()
    around = whole[:-1]
    starts = np.flatnonzero((around == around[np.lexsort((around[:, 1], around[:, 0]))[0]]).all(axis=1))
    turned = [np.roll(around, -start, axis=0) for start in starts.tolist()]
    return min(b"".join(map(np.ndarray.tobytes, (way[:1], way[1:][::step]))) for way in turned for step in (1, -1))

"""What differs between two sets: shapes of the other set as they were, and an arrow from each to where it lies now."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.page.layers.findings import places_of
from taskdata.page.layers.ground import polygons
from taskdata.page.scene import Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.results.comparison import Comparison, Difference, sentence

MARK = "difference-{}"
"""What a difference is called in the page, by its number in the comparison."""
_ARROW_M = 25.0
"""Arrows shorter than this are drawn so long, since most shifts are too small to be seen."""


def move_layers(comparison: Comparison, other: Dataset, word: Wording) -> Iterator[SceneLayer]:
    """Yield outlines and lines of the first set that lie elsewhere in the second, and what moved as arrows."""
    moved = {item.a for item in comparison.differences if item.distance_m}
    before = []
    for field in other.fields:
        if field.id in moved:
            rings = [ring for polygon in polygons(field.boundaries) for ring in polygon]
            before.append(Shape(Form.LINE, [rings], "before", word.t("Before: {name}", name=field.name or field.id)))
        courses = [(item.id, item.name, item.points) for item in field.guidance]
        for identifier, name, points in (*courses, *((item.id, item.name, item.points) for item in field.lines)):
            if identifier in moved and len(points) > 1:
                title = word.t("Before: {name}", name=name or identifier)
                before.append(Shape(Form.LINE, [[points]], "before", title))
    yield SceneLayer("before", word.t(styles()["before"].label), [shape for shape in before if shape.parts])
    places = places_of(other)
    arrows = [
        shape
        for number, item in enumerate(comparison.differences)
        if (shape := _arrow(item, number, places, word)) is not None
    ]
    note = word.t("Arrows show the direction; short shifts are drawn longer than they are.") if arrows else ""
    yield SceneLayer("moved", word.t(styles()["moved"].label), arrows, note=note)


def _arrow(item: Difference, number: int, places: dict[str, tuple[float, float]], word: Wording) -> Shape | None:
    at = places.get(item.a or "")
    if at is None or item.vector is None or not np.isfinite(item.vector).all() or not any(item.vector):
        return None
    plane = LocalPlane(*at)
    step = np.array(item.vector)
    length = float(np.hypot(*step))
    drawn = step * (max(length, _ARROW_M) / length)
    course = plane.inverse(np.vstack([[0.0, 0.0], drawn]))
    facts = [(word.t("Distance"), word.length(item.distance_m or length, 2))]
    label, mark = word.length(length, 2), MARK.format(number)
    return Shape(Form.LINE, [[course]], "moved", sentence(item), facts, label, arrow=True, mark=mark)

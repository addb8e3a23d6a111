"""What lies elsewhere than in another set: an arrow from where it lay to where it lies now."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.page.layers.findings import places_of
from taskdata.page.scene import Coordinates, Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.results.comparison import Comparison, DifferenceKind
from taskdata.sets.moves import move
from taskdata.translations import N_

MARK = "difference-{}"
"""What a difference is called in the page, by its number in the comparison."""
DIFFERENCE_WORDS = {
    DifferenceKind.REMOVED: N_("Removed"),
    DifferenceKind.ADDED: N_("Added"),
    DifferenceKind.CHANGED: N_("Changed"),
    DifferenceKind.MOVED: N_("Moved"),
}
_ARROW_M = 25.0
"""Arrows shorter than this are drawn so long, since most shifts are too small to be seen."""
_CLOSEST_M = 0.001


def move_layer(comparison: Comparison, other: Dataset, word: Wording) -> SceneLayer:
    """Return what lies elsewhere in the second set as arrows."""
    return arrow_layer(list(_arrows(comparison, other, word)), word)


def arrow_layer(arrows: list[Shape], word: Wording) -> SceneLayer:
    """Return a layer of arrows, with what to know of them."""
    note = word.t("Arrows show the direction; short shifts are drawn longer than they are.") if arrows else ""
    return SceneLayer("moved", word.t(styles()["moved"].label), arrows, note=note)


def arrow_between(before: Coordinates, after: Coordinates, title: str, word: Wording) -> Shape | None:
    """Return how a line or a closed ring moved, (n, 2) degrees each; None where its middle stayed."""
    ring = len(before) > 2 and bool((before[0] == before[-1]).all())
    found = move(before[:-1], after[:-1], ring=True) if ring else move(before, after)
    vector = (found.east_m, found.north_m)
    middle = (before.min(axis=0) + before.max(axis=0)) / 2.0
    return _arrow(middle.tolist(), vector, _distance(found.distance_m, word), title, word)


def _arrows(comparison: Comparison, other: Dataset, word: Wording) -> Iterator[Shape]:
    places = places_of(other)
    for number, item in enumerate(comparison.differences):
        at = places.get(item.a or "")
        if at is not None and item.vector is not None:
            moved = item.distance_m or float(np.hypot(*item.vector))
            found = _arrow(at, item.vector, _distance(moved, word), word.difference(item), word)
            if found is not None:
                yield replace(found, mark=MARK.format(number))


def _distance(metres: float, word: Wording) -> tuple[str, str]:
    return word.t("Distance"), word.length(metres, 2)


def _arrow(
    at: Sequence[float], vector: tuple[float, float], fact: tuple[str, str], title: str, word: Wording
) -> Shape | None:
    length = float(np.hypot(*vector))
    if not np.isfinite(length) or length < _CLOSEST_M:
        return None
    drawn = np.array(vector) * (max(length, _ARROW_M) / length)
    course = LocalPlane(at[0], at[1]).inverse(np.vstack([[0.0, 0.0], drawn]))
    return Shape(Form.LINE, [[course]], "moved", title, [fact], word.length(length, 2), arrow=True)

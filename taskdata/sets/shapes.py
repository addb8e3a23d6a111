"""Where things lie: outlines, lines, points, grids; and what differs in what is said of their points."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import numpy as np

from taskdata.amounts import counted
from taskdata.isoxml.binary.points import read_points
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.isoxml.tree.point_store import PointStore
from taskdata.model.shapes import Coordinates
from taskdata.phrases import phrase
from taskdata.results.comparison import Difference, DifferenceKind
from taskdata.sets.elsewhere import Placed, names_file, thing_of
from taskdata.sets.side import Side
from taskdata.sets.wording import attribute_name

PLACES = {
    POINT: ("PointEast", "PointNorth"),
    "PTN": ("PositionEast", "PositionNorth"),
    "BSN": ("BaseStationEast", "BaseStationNorth"),
    "GRD": ("GridMinimumEastPosition", "GridMinimumNorthPosition"),
}
"""Attributes that say together where an element lies."""

_SHOWN = 3


def place_letters(tag: str) -> frozenset[str]:
    """Return the letters of the attributes that say where an element lies."""
    return frozenset(letter(tag, name) for name in PLACES.get(tag, ()))


def placed(one: Element, two: Element, sides: tuple[Side, Side]) -> Placed | None:
    """Return where a line, outline, point, position or grid lies, and its counterpart; None of anything else."""
    if one.tag == "LSG":
        return Placed(one, two, _course(sides[0], one), _course(sides[1], two))
    if one.tag == POINT and (one.get("Filename") or two.get("Filename")):
        if one.parent is not None and one.parent.tag == "LSG":
            return None  # its points are points of the line
        return Placed(one, two, _stored(sides[0], one), _stored(sides[1], two))
    return Placed(one, two, position(one), position(two)) if one.tag in PLACES else None


def position(element: Element) -> Coordinates:
    """Return where an element lies by its attributes, (1, 2) degrees, NaN where it does not say."""
    return np.array([[_number(element.get(name)) for name in PLACES[element.tag]]])


def _number(text: str | None) -> float:
    try:
        return float(text) if text is not None else np.nan
    except ValueError:
        return np.nan


def _course(side: Side, line: Element) -> Coordinates:
    """Return the points of a line string, those of binary files included, (n, 2) degrees."""
    if len(line.children) == 1 and isinstance(line.children[0], PointRun):
        return line.children[0].positions()
    if not names_file(line):
        return line.coordinates()
    parts: list[Coordinates] = []
    for child in line.children:
        if isinstance(child, PointRun):
            names = [letter(POINT, name) for name in PLACES[POINT]]
            parts.append(np.column_stack([child.floats(name) for name in names]))
        elif isinstance(child, Element) and child.tag == POINT:
            parts.append(_stored(side, child))
    return np.vstack(parts)


def _stored(side: Side, point: Element) -> Coordinates:
    """Return the points of the binary file that a point names; the point itself where it names none."""
    if point.get("Filename") is None:
        return point.own_coordinates()
    found = read_points(side.binary(point), point.attributes)
    if found is None:
        return np.empty((0, 2))
    return np.column_stack([found.longitude(), found.latitude()])


class Words:
    """What is said of the points of lines besides where they lie, looked at in whole columns where that is enough."""

    def __init__(self) -> None:
        self._same: dict[tuple[PointStore, PointStore], bool] = {}

    def differences(self, one: Element, two: Element) -> Iterator[Difference]:
        """Yield what is said differently of the points of two lines: types, heights, names."""
        if len(one.children) == len(two.children) == 1:
            left, right = one.children[0], two.children[0]
            if isinstance(left, PointRun) and isinstance(right, PointRun) and self._alike(left, right):
                return
        yield from _words_of_points(one, two)

    def _alike(self, left: PointRun, right: PointRun) -> bool:
        """Tell quickly whether two runs say the same: one text throughout, or the same numbers."""
        both = left.store, right.store
        if both not in self._same:
            self._same[both] = left.names == right.names and all(
                (text := left.column(name).constant()) is not None and text == right.column(name).constant()
                for name in _said_names(left)
            )
        if self._same[both]:
            return True
        same_size = len(left) == len(right) and left.names == right.names
        return same_size and all(_same_column(left, right, name) for name in _said_names(left))


def _said_names(run: PointRun) -> list[str]:
    skipped = place_letters(POINT)
    return [name for name in run.names if name not in skipped]


def _same_column(left: PointRun, right: PointRun, name: str) -> bool:
    one, two = left.column(name), right.column(name)
    here, there = slice(left.start, left.stop), slice(right.start, right.stop)
    same = np.array_equal(one.digits[here], two.digits[there]) and np.array_equal(one.scaled[here], two.scaled[there])
    return same and (not (one.odd or two.odd) or left.texts(name) == right.texts(name))


def _words_of_points(one: Element, two: Element) -> Iterator[Difference]:
    """Yield what is said of the points of a line besides where they lie: types, heights, names."""
    left, right = _said_of_points(one), _said_of_points(two)
    for name in dict.fromkeys([*left, *right]):
        before, after = left.get(name, Counter()), right.get(name, Counter())
        if before == after:
            continue
        if before.total() != after.total():  # points came or went; only values that are new or gone are told
            before, after = _without(before, after), _without(after, before)
            gone, come = before, after
        else:
            gone, come = before - after, after - before
        if gone or come:
            count = max(gone.total(), come.total())
            what = phrase(
                "{name} of {points} of {one}",
                name=attribute_name(Element(POINT), name),
                points=counted(count, "point"),
                one=thing_of(one),
            )
            ids = one.nearest_id(), two.nearest_id()
            yield Difference(DifferenceKind.CHANGED, *ids, what, _listed(gone), _listed(come), thing=thing_of(one))


def _without(one: Counter[str], two: Counter[str]) -> Counter[str]:
    return Counter({text: count for text, count in one.items() if text not in two})


def _listed(values: Counter[str]) -> str | None:
    shown = ", ".join(list(values)[:_SHOWN])
    return (shown + (", ..." if len(values) > _SHOWN else "")) or None


def _said_of_points(line: Element) -> dict[str, Counter[str]]:
    """Return by attribute how many points of a line say what; those that name a file stand for themselves."""
    found: dict[str, Counter[str]] = {}
    skipped = place_letters(POINT)
    for child in line.children:
        if isinstance(child, PointRun):
            for name in child.names:
                if name not in skipped:
                    found.setdefault(name, Counter()).update(child.texts(name))
        elif isinstance(child, Element) and child.tag == POINT and not child.get("Filename"):
            for name, text in child.attributes.items():
                if name not in skipped:
                    found.setdefault(name, Counter())[text] += 1
    return found

"""What differs between two sets: things, words, places, logs."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from taskdata.geometry.geodesy import polygon_area
from taskdata.isoxml.document import Document
from taskdata.isoxml.element import Element
from taskdata.isoxml.facts import AttributeFact, elements
from taskdata.model.shapes import Coordinates
from taskdata.sets.differences import Comparison, Difference, DifferenceKind
from taskdata.sets.moves import common_shift, move
from taskdata.sets.pairing import Pairs, own_name, pair
from taskdata.sets.side import Side, name_of

_BINARY = {"TLG": "log", "GRD": "grid", "PNT": "binary points"}


MACHINE_CHANGED = "coding data that the machine changed: "
"""Put before what a machine may not do to the set it was given (ISO 11783-10, 8.4, 8.5; R-045)."""


def compare(one: Side, two: Side, tolerance_m: float = 0.0) -> Comparison:
    """Compare two sets.

    Parameters
    ----------
    one, two : Side
        The sets.
    tolerance_m : float
        Points that lie no farther apart are the same place.

    Returns
    -------
    Comparison
        In which file a thing stands and in which order unlike things stand is no difference.
    """
    pairs = pair(one, two)
    returned = one.document.origin == "FMIS" and two.document.origin == "MICS"
    content = _Content(one, two, pairs, tolerance_m)
    found = [
        *_roots(one.document, two.document),
        *_comings(pairs),
        *(_blamed(item, element) if returned else item for item, element in content.found()),
    ]
    shapes = [(a.coordinates(), b.coordinates()) for a, b in pairs.same.items() if a.tag == "LSG"]
    moved = any(item.kind is DifferenceKind.MOVED for item in found)
    return Comparison(one.dataset.source, two.dataset.source, tuple(found), common_shift(shapes) if moved else None)


def _roots(first: Document, second: Document) -> Iterator[Difference]:
    one, two = first.root.attributes, second.root.attributes
    for name in dict.fromkeys([*one, *two]):
        if one.get(name) != two.get(name):
            yield Difference(DifferenceKind.CHANGED, None, None, f"{name} of the set", one.get(name), two.get(name))


def _comings(pairs: Pairs) -> Iterator[Difference]:
    for item in pairs.only_first:
        yield Difference(DifferenceKind.REMOVED, item.nearest_id(), None, spoken(item), before=name_of(item) or None)
    for item in pairs.only_second:
        yield Difference(DifferenceKind.ADDED, None, item.nearest_id(), spoken(item), after=name_of(item) or None)


def _blamed(item: Difference, element: Element) -> Difference:
    """Say of a change in a returned set that the machine had no leave to make it."""
    fact = elements().get(element.tag)
    coding = fact is not None and fact.kind == "coding" and item.kind is DifferenceKind.CHANGED
    return replace(item, what=MACHINE_CHANGED + item.what) if coding else item


def spoken(element: Element) -> str:
    """Return an element in plain words, such as ``Partfield PFD1`` or ``Time of TSK2``."""
    fact = elements().get(element.tag)
    noun = fact.name if fact is not None else element.tag
    if element.id is not None:
        return f"{noun} {element.id}"
    own, owner = own_name(element), element.nearest_id()
    return " ".join([noun, *([own] if own else []), *(["of", owner] if owner else [])])


class _Content:
    """The pairs, one after the other."""

    def __init__(self, first: Side, second: Side, pairs: Pairs, tolerance_m: float) -> None:
        self.first = first
        self.second = second
        self.pairs = pairs
        self.tolerance_m = tolerance_m
        self.ids = pairs.ids

    def found(self) -> Iterator[tuple[Difference, Element]]:
        """Yield what differs in each pair, with the element of the first set."""
        for one, two in self.pairs.same.items():
            for item in self._attributes(one, two):
                yield item, one
            if one.tag == "LSG":
                for item in self._moved(one, two, one.coordinates(), two.coordinates()):
                    yield item, one
            if one.tag in _BINARY:
                for item in self._binary(one, two):
                    yield item, one

    def _attributes(self, one: Element, two: Element) -> Iterator[Difference]:
        fact = elements().get(one.tag)
        for name in dict.fromkeys([*one.attributes, *two.attributes]):
            known = fact.attributes.get(name) if fact is not None else None
            before, after = one.attributes.get(name), two.attributes.get(name)
            if before == after or self._same(known, before, after):
                continue
            if one.tag == "PNT" and known is not None and known.name in {"PointNorth", "PointEast"}:
                continue
            what = f"{known.name if known is not None else name} of {spoken(one)}"
            yield Difference(DifferenceKind.CHANGED, one.nearest_id(), two.nearest_id(), what, before, after)
        if one.tag == "PNT":
            yield from self._place(one, two)

    def _same(self, fact: AttributeFact | None, before: str | None, after: str | None) -> bool:
        """Tell whether two texts say the same: a reference to a thing and to its counterpart."""
        if fact is None or before is None or after is None:
            return False
        return (fact.type == "xs:IDREF" or fact.refers_to is not None) and self.ids.get(before) == after

    def _place(self, one: Element, two: Element) -> Iterator[Difference]:
        yield from self._moved(one, two, one.own_coordinates(), two.own_coordinates())

    def _moved(self, one: Element, two: Element, before: Coordinates, after: Coordinates) -> Iterator[Difference]:
        if np.array_equal(before, after, equal_nan=True):
            return
        left, right = before[np.isfinite(before).all(axis=1)], after[np.isfinite(after).all(axis=1)]
        a, b = one.nearest_id(), two.nearest_id()
        if not len(left) or not len(right):
            what = f"points of {_owner(one)}"
            yield Difference(DifferenceKind.CHANGED, a, b, what, len(left), len(right))
            return
        way = move(left, right)
        if way.distance_m <= self.tolerance_m:
            return
        if one.parent is not None and one.parent.tag == "PLN":
            what = f"outline of {_owner(one)}, area in m²"
            areas = round(polygon_area([left]), 2), round(polygon_area([right]), 2)
            yield Difference(DifferenceKind.MOVED, a, b, what, *areas, way.distance_m)
            return
        told = (
            f"{_owner(one)}: {way.east_m:.3f} m east, {way.north_m:.3f} m north; {way.along_m:.3f} m along, "
            f"{way.across_m:.3f} m to the right; turned by {way.turned_deg:.4f}°"
        )
        yield Difference(DifferenceKind.MOVED, a, b, told, len(left), len(right), way.distance_m)

    def _binary(self, one: Element, two: Element) -> Iterator[Difference]:
        names = one.get("Filename"), two.get("Filename")
        if not all(names):
            return
        left, right = self.first.document.binary(str(names[0])), self.second.document.binary(str(names[1]))
        sizes = None if left is None else left.size, None if right is None else right.size
        same = sizes[0] == sizes[1] and (left is None or right is None or _digest(left.read()) == _digest(right.read()))
        if not same:
            what = f"content of {_BINARY[one.tag]} {names[0]}, bytes"
            yield Difference(DifferenceKind.CHANGED, one.nearest_id(), two.nearest_id(), what, *sizes)


def _owner(element: Element) -> str:
    """Say whose line or outline it is: the polygon in a field, the pattern, the field."""
    parent = element.parent
    if element.tag == "PNT" or parent is None or element.id is not None:
        return spoken(element)
    if parent.tag == "PLN" and parent.id is None and parent.parent is not None:
        return spoken(parent.parent)
    return spoken(parent)


def _digest(content: bytes) -> bytes:
    return hashlib.sha256(content).digest()

"""What differs between two sets: things, words, places, files, links."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from taskdata.findings import Fact
from taskdata.geometry.geodesy import polygon_area
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.model.shapes import Coordinates
from taskdata.phrases import phrase
from taskdata.progress import stage
from taskdata.results.comparison import Aspect, CommonShift, Comparison, Difference, DifferenceKind
from taskdata.sets.binaries import stray_differences
from taskdata.sets.common_shift import CLOSE_M, MOST_TRIED, common_shift
from taskdata.sets.content import content_differences
from taskdata.sets.linklists import link_differences
from taskdata.sets.pairing import Pairs, pair
from taskdata.sets.shapes import position
from taskdata.sets.side import Side, name_of
from taskdata.sets.wording import is_ring, spoken


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
        No difference are: in which file a thing stands, in which order things stand, where a ring begins and which way
        it runs, how a number is spelled, and comments in the XML.
    """
    with stage("Pairing what both hold", ""):
        pairs = pair(one, two)
    returned = one.document.origin == "FMIS" and two.document.origin == "MICS"
    found = [
        *_roots(one.document, two.document),
        *(_blamed(*both) if returned else both[0] for both in _gone(pairs)),
        *_come(pairs),
        *(_blamed(*both) if returned else both[0] for both in content_differences(one, two, pairs, tolerance_m)),
        *link_differences(one.document, two.document, pairs),
        *stray_differences(one.document, two.document),
    ]
    shift = _shift(pairs) if any(item.kind is DifferenceKind.MOVED for item in found) else None
    told = found if shift is None else [_shifted(item, shift) for item in found]
    return Comparison(one.dataset.source, two.dataset.source, tuple(told), shift)


def _roots(first: Document, second: Document) -> Iterator[Difference]:
    one, two = first.root.attributes, second.root.attributes
    for name in dict.fromkeys([*one, *two]):
        if one.get(name) != two.get(name):
            what = phrase("{name} of the set", name=name)
            yield Difference(
                DifferenceKind.CHANGED, None, None, what, one.get(name), two.get(name), thing=phrase("the set")
            )


def _gone(pairs: Pairs) -> Iterator[tuple[Difference, Element]]:
    for item in pairs.only_first:
        what, value = _told(item)
        yield Difference(DifferenceKind.REMOVED, item.nearest_id(), None, what, before=value, thing=spoken(item)), item


def _come(pairs: Pairs) -> Iterator[Difference]:
    for item in pairs.only_second:
        what, value = _told(item)
        yield Difference(DifferenceKind.ADDED, None, item.nearest_id(), what, after=value, thing=spoken(item))


def _told(element: Element) -> tuple[str, Fact]:
    """Return what came or went, and its name or else its area."""
    what = spoken(element)
    points = element.coordinates() if is_ring(element) else None
    if points is not None and len(points):
        area = polygon_area([points])
        if math.isfinite(area):
            return phrase("{one}, area in m²", one=what), round(area, 2)
    return what, name_of(element) or None


def _blamed(item: Difference, element: Element) -> Difference:
    """Say of a change in a returned set that a machine may not make it (ISO 11783-10, 8.4, 8.5; R-045)."""
    return (
        replace(item, what=phrase("coding data that the machine changed: {what}", what=item.what))
        if _is_coding(element)
        else item
    )


def _is_coding(element: Element | None) -> bool:
    """Tell whether an element is coding data or, as the boundary of a field, a part of it."""
    while element is not None and element.tag in {"PLN", "LSG", POINT}:
        element = element.parent
    fact = elements().get(element.tag) if element is not None else None
    return fact is not None and fact.kind == "coding"


def _shift(pairs: Pairs) -> CommonShift | None:
    """Return what outlines, lines and points of the two sets have moved in common."""
    laid = [both for both in pairs.same.items() if both[0].tag == "LSG" or _is_point(both[0])]
    shapes: list[tuple[Coordinates, Coordinates]] = []
    for one, two in laid[:: max(1, math.ceil(len(laid) / MOST_TRIED))]:
        if one.tag == "LSG":
            shapes.append((one.coordinates(), two.coordinates()))
        else:
            shapes.append((position(one), position(two)))
    return common_shift(shapes)


def _is_point(element: Element) -> bool:
    return element.tag == POINT and not element.get("Filename")


def _shifted(item: Difference, shift: CommonShift) -> Difference:
    """Mark what moved by the common shift and in no other way."""
    if item.vector is None or item.distance_m is None or shift.east_m is None or shift.north_m is None:
        return item
    rest = math.hypot(item.vector[0] - shift.east_m, item.vector[1] - shift.north_m)
    beyond = item.distance_m - math.hypot(shift.east_m, shift.north_m)
    alike = rest <= CLOSE_M and beyond <= CLOSE_M
    return replace(item, aspect=Aspect.SHIFTED) if alike else item

"""Shapes of KML (OGC 12-007r2, clauses 10 and 16): longitude first, heights only where they count."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeAlias

from taskdata.errors import UnfitError
from taskdata.formats.geometries.nested import COLLECTION
from taskdata.formats.markup.events import Node

Positions: TypeAlias = list[list[float]]

_TRACKS = frozenset({"Track", "MultiTrack"})
_SEVERAL = "MultiGeometry"
_ABSOLUTE = "absolute"
_COMMA = re.compile(r"\s*,\s*")


class Shapes:
    """The shapes of a feature as nested lists.

    Attributes
    ----------
    nested : dict or None
        Type and coordinates as `nested.shape` takes them; None where the feature has no shape.
    heights : int
        Positions with a height other than 0 that does not count, as the shape lies on the ground or is measured from
        it.

    Raises
    ------
    UnfitError
        A shape cannot be taken apart.
    """

    def __init__(self, feature: Node) -> None:
        self.heights = 0
        self.nested = _together([shape for node in feature.children for shape in self._shapes(node)])

    def _shapes(self, node: Node) -> Iterator[dict[str, Any]]:
        makers: Mapping[str, Callable[[Node], dict[str, Any]]] = {
            "Point": self._point,
            "LineString": self._line,
            "LinearRing": self._line,
            "Polygon": self._polygon,
            "Model": _model,
        }
        if node.tag == _SEVERAL:
            for child in node.children:
                yield from self._shapes(child)
        elif node.tag in makers:
            yield makers[node.tag](node)

    def _positions(self, node: Node | None, *, high: bool) -> Positions:
        """Return the positions of an element ``coordinates``, with heights only where all of them count."""
        text = _COMMA.sub(",", (node.of("coordinates") if node is not None else None) or "")
        rows = [token.split(",") for token in text.split()]
        lengths = {len(row) for row in rows}
        if not lengths <= {2, 3}:
            raise UnfitError("its coordinates are not longitude and latitude, and perhaps a height")
        try:
            at = [[float(cell or "0") for cell in row] for row in rows]
        except ValueError as error:
            raise UnfitError(f"a coordinate is no number ({str(error)[:60]})") from None
        if high and lengths == {3}:
            return at
        self.heights += sum(len(position) > 2 and position[2] != 0.0 for position in at)
        return [position[:2] for position in at]

    def _point(self, node: Node) -> dict[str, Any]:
        at = self._positions(node, high=is_absolute(node))
        if len(at) != 1:
            raise UnfitError(f"a point has {len(at)} positions")
        return _shape("Point", at[0])

    def _line(self, node: Node) -> dict[str, Any]:
        return _shape("LineString", self._positions(node, high=is_absolute(node)))

    def _polygon(self, node: Node) -> dict[str, Any]:
        high = is_absolute(node)
        outer, inner = (
            [ring for side in node.all(tag) for ring in side.all("LinearRing")]
            for tag in ("outerBoundaryIs", "innerBoundaryIs")
        )
        if len(outer) != 1:
            raise UnfitError(f"a polygon has {len(outer)} outer rings")
        return _shape("Polygon", [self._positions(ring, high=high) for ring in (*outer, *inner)])


def tracks_of(feature: Node) -> Iterator[Node]:
    """Yield the tracks of a feature, those of several parts as one element."""
    for node in feature.children:
        if node.tag in _TRACKS:
            yield node
        elif node.tag == _SEVERAL:
            yield from tracks_of(node)


def is_absolute(node: Node) -> bool:
    """Tell whether the heights of a shape are above sea level, and not above the ground or without meaning."""
    return (node.of("altitudeMode") or "").strip() == _ABSOLUTE


def _shape(kind: str, coordinates: object) -> dict[str, Any]:
    return {"type": kind, "coordinates": coordinates}


def _together(shapes: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Return several shapes as one, of several parts where all are of one kind."""
    if len(shapes) < 2:
        return shapes[0] if shapes else None
    kinds = {shape["type"] for shape in shapes}
    if len(kinds) > 1:
        return {"type": COLLECTION, "geometries": shapes}
    return _shape(f"Multi{kinds.pop()}", [shape["coordinates"] for shape in shapes])


def _model(node: Node) -> dict[str, Any]:
    """Return the place of a model in space; the model itself is another file."""
    place = node.child("Location")
    texts = [place.of(name) if place is not None else None for name in ("longitude", "latitude")]
    try:
        return _shape("Point", [float(text or "") for text in texts])
    except ValueError:
        raise UnfitError("the place of its model is no longitude and latitude") from None

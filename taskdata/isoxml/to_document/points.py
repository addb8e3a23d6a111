"""Coordinates to points (PNT): those that stay keep their texts and attributes, new ones are written anew."""

from __future__ import annotations

import numpy as np

from taskdata.geometry.geodesy import line_length
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.tree.element import POINT, Element, Node, PointRun
from taskdata.isoxml.tree.filenames import file_name
from taskdata.ledger import LossKind
from taskdata.model.shapes import Coordinates, PointKind
from taskdata.phrases import phrase

DIGITS = 9
"""Digits after the point of a coordinate written anew: 1e-9 degree is 0.1 mm on the ground."""

_SAME_LENGTH = 0.0005
"""Metres by which a length may differ and still be the same in whole millimetres: a mere move leaves it."""

_PLACES = "longitudes from -180 to 180 and latitudes from -90 to 90"

_Row = dict[str, str]


def degrees(value: float) -> str:
    """Return a coordinate written anew, with nine digits after the point."""
    return f"{value:.{DIGITS}f}"


def put_points(
    change: DocumentChange, string: Element, points: Coordinates, kinds: list[PointKind], owner: object = None
) -> None:
    """Make ``points`` (n, 2) the points of a line string (LSG).

    A point at the very place of an old one keeps its texts and attributes; where their number stays, the others keep
    all but the coordinates of the one in their turn. ``kinds`` gives the type of new ones. A place that is none on
    Earth is refused, ``owner`` being the record that has it, unless that in its turn was none before.
    """
    stood = _old_rows(change, string)
    old = dict(reversed(stood))
    rows = []
    rounded = False
    for index, ((lon, lat), kind) in enumerate(zip(points.tolist(), kinds, strict=True)):
        row = old.get((lon, lat))
        if row is None and not _on_earth(lon, lat):
            if len(stood) == len(points) and not _on_earth(*stood[index][0]):
                rows.append(stood[index][1])
            else:
                change.refuse(owner, "points", (lon, lat), _PLACES)
            continue
        if row is None:
            fresh = _row(change, lon, lat, kind)
            row = _moved(stood[index][1], fresh) if len(stood) == len(points) else fresh
            rounded |= float(degrees(lon)) != lon or float(degrees(lat)) != lat
        rows.append(row)
    change.rounded |= rounded
    keep = [child for child in string.children if not _is_point(child)]
    string.children = keep
    for node in _nodes(rows, string):
        string.append(node)


def put_moved_points(
    change: DocumentChange, string: Element, points: Coordinates, kinds: list[PointKind], owner: object = None
) -> None:
    """Make ``points`` the points of a line string that stands there; a stated length follows, and that is told."""
    before = string.coordinates()
    put_points(change, string, points, kinds, owner)
    stated = string.get("LineStringLength")
    if stated is None or len(points) < 2 or not np.isfinite(points).all():
        return
    if np.isfinite(before).all() and abs(line_length(points) - line_length(before)) < _SAME_LENGTH:
        return
    length = str(round(1000 * line_length(points)))
    if length != stated:
        string.set("LineStringLength", length)
        told = phrase("stated length of a line {stated} mm becomes {length} mm", stated=stated, length=length)
        change.lose(LossKind.CHANGED, string.nearest_id(), told, phrase("its points moved"))


def _on_earth(lon: float, lat: float) -> bool:
    return abs(lon) <= 180.0 and abs(lat) <= 90.0


def _is_point(node: Node) -> bool:
    return isinstance(node, PointRun) or (isinstance(node, Element) and node.tag == POINT)


def _old_rows(change: DocumentChange, string: Element) -> list[tuple[tuple[float, float], _Row]]:
    """Places and attributes of the points that stand there; a binary point file is given up, and that is told."""
    found: list[tuple[tuple[float, float], _Row]] = []
    east, north = letter(POINT, "PointEast"), letter(POINT, "PointNorth")
    for child in string.children:
        if isinstance(child, PointRun):
            places = np.column_stack([child.floats(east), child.floats(north)]).tolist()
            rows = list(child.rows())
        elif isinstance(child, Element) and child.tag == POINT:
            _drop_binary(change, child)
            run = PointRun.of({name: [child.attributes.get(name, "")] for name in (east, north)})
            places = [[float(run.floats(east)[0]), float(run.floats(north)[0])]]
            rows = [dict(child.attributes)]
        else:
            continue
        found += [((lon, lat), row) for (lon, lat), row in zip(places, rows, strict=True)]
    return found


def _moved(old: _Row, fresh: _Row) -> _Row:
    """Return the attributes of a point that moved: all that it had, in their order, with what the fresh row states."""
    kind = letter(POINT, "PointType")
    if letter(POINT, "Filename") in old:
        return fresh
    stated = {name: text for name, text in fresh.items() if name != kind or text != str(int(PointKind.OTHER))}
    return {kind: fresh[kind]} | old | stated


def _drop_binary(change: DocumentChange, point: Element) -> None:
    name = file_name(point)
    if name is not None and change.document.others.pop(f"{name}.BIN".upper(), None) is not None:
        change.lose(
            LossKind.CHANGED,
            point.nearest_id(),
            phrase("binary points {name} become points in XML", name=name),
            phrase("they moved"),
        )


def _row(change: DocumentChange, lon: float, lat: float, kind: PointKind) -> _Row:
    code = kind if change.has_value(POINT, "PointType", kind) else PointKind.OTHER
    values = {"PointType": str(int(code)), "PointNorth": degrees(lat), "PointEast": degrees(lon)}
    return {letter(POINT, name): text for name, text in values.items()}


def _nodes(rows: list[_Row], parent: Element) -> list[Node]:
    """Pack rows of plain coordinates into runs; rows with more than that become elements."""
    plain = {letter(POINT, name) for name in ("PointType", "PointNorth", "PointEast", "PointUp")}
    nodes: list[Node] = []
    pending: list[_Row] = []
    for row in [*rows, None]:
        if pending and (row is None or list(row) != list(pending[0])):
            nodes.append(PointRun.of({name: [item[name] for item in pending] for name in pending[0]}))
            pending = []
        if row is None:
            break
        if set(row) <= plain:
            pending.append(row)
        else:
            nodes.append(Element(POINT, dict(row), file=parent.file, parent=parent))
    return nodes

"""The waypoints, routes and tracks of a GPX file as tables (GPX 1.1 schema; times are coordinated universal time)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import field
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import shapely

from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.formats.geometries.shapes import to_wkb
from taskdata.formats.markup.events import Event, Node
from taskdata.formats.markup.growing import LOG, TIME, Growing
from taskdata.formats.markup.moments import moment
from taskdata.raised_rules.import_.bad_geometry import RULE as BAD_GEOMETRY
from taskdata.raised_rules.import_.heights_taken import RULE as HEIGHTS_TAKEN
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT

FIXES = {"none": 0, "2d": 1, "3d": 1, "dgps": 2, "pps": 3}
"""Quality of a fix as a receiver counts it (GGA of NMEA 0183), by the word of GPX."""

_HEIGHTS = "GPX does not say what elevations refer to"
_ASTRAY = "longitude and latitude are no degrees on Earth"
_POINTS = frozenset({"wpt", "rtept", "trkpt"})
_TEXTS = frozenset({"name", "cmt", "desc", "src", "sym", "type", "link", "link_text"})
_POINT = {"name": pa.string(), "time": TIME, GEOMETRY: pa.large_binary()}
_LINE = {"name": pa.string(), GEOMETRY: pa.large_binary()}


@dataclass
class Line:
    """A route or track while it is read.

    Parameters
    ----------
    row : dict
        What it says of itself.
    points : Growing
        Its points.
    segments : int
        How many parts have begun.
    timed, off : int
        How many points have a time, and how many no place on Earth.
    above_ellipsoid : bool
        Every height is known to be above the ellipsoid.
    """

    row: dict[str, Any] = field(default_factory=dict)
    points: Growing = field(default_factory=lambda: Growing(LOG))
    segments: int = 0
    timed: int = 0
    off: int = 0
    above_ellipsoid: bool = True


class Reading:
    """What was read so far.

    Parameters
    ----------
    path : Path
        The file.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.findings: list[Finding] = []
        self._waypoints, self._named = Growing(_POINT), Growing(_POINT)
        self._routes, self._tracks = Growing(_LINE), Growing(_LINE)
        self._logs: list[tuple[str | None, pa.Table]] = []
        self._line: Line | None = None
        self._astray: list[int] = []

    def take(self, event: Event) -> None:
        """Take what comes next."""
        kind, tag, node = event
        if tag == "wpt" and kind == "whole":
            self._waypoint(node)
        elif tag in {"rte", "trk"}:
            if kind == "begin":
                self._line = Line()
            else:
                self._end(tag)
        elif self._line is not None and tag == "trkseg":
            self._line.segments += kind == "begin"
        elif self._line is not None and tag in {"rtept", "trkpt"}:
            self._point(self._line, node, of_route=tag == "rtept")
        elif self._line is not None:
            self._line.row |= dict(_values(node))

    def tables(self) -> list[RawTable]:
        """Return what there is, a track that was cut off included."""
        if self._line is not None:
            self._end("trk" if self._line.segments else "rte")
        layers = {
            "waypoints": self._waypoints,
            "routes": self._routes,
            "route_points": self._named,
            "tracks": self._tracks,
        }
        found = {name: _filled(layer.table(_TEXTS)) for name, layer in layers.items() if layer.count}
        single = len(found) + len(self._logs) == 1
        tables = [self._raw(self.path.stem if single else name, table) for name, table in found.items()]
        for number in self._astray:
            told = Place(file=self.path.name, record=number - 1)
            self.findings.append(BAD_GEOMETRY.at(told, row=number, layer=tables[0].label, reason=_ASTRAY))
        for number, (name, table) in enumerate(self._logs, 1):
            usual = self.path.stem if len(self._logs) == 1 else f"{self.path.stem} {number}"
            tables.append(self._raw(name or usual, table, log=True))
        return tables

    def _raw(self, name: str, table: pa.Table, *, log: bool = False) -> RawTable:
        return RawTable(name, self.path.name, table, always_wgs84=True, heights=_HEIGHTS, log=log)

    def _waypoint(self, node: Node) -> None:
        place = _place(node)
        row = dict(_values(node)) | _moment(node)
        number = self._waypoints.add(row | {GEOMETRY: _point_wkb(place, _height(row.pop("ele", None)))})
        if place is None:
            self._astray.append(number)

    def _point(self, line: Line, node: Node, *, of_route: bool) -> None:
        place = _place(node)
        if place is None:
            line.off += 1
            return
        row = dict(_values(node)) | _moment(node)
        if of_route and row.keys() - {"ele", "time"}:
            kept = {name: value for name, value in row.items() if name != "ele"}
            self._named.add(kept | {GEOMETRY: _point_wkb(place, _height(row.get("ele")))})
        height, geoid = _height(row.pop("ele", None)), _height(row.pop("geoidheight", None))
        line.above_ellipsoid &= height is None or geoid is not None
        line.timed += row.get("time") is not None
        line.points.add(
            row
            | {
                "up_m": height if height is None or geoid is None else height + geoid,
                "fix": FIXES.get(str(row.pop("fix", "")).strip().lower()),
                "satellites": _whole(row.pop("sat", None)),
                "hdop": _height(row.pop("hdop", None)),
                "segment": max(line.segments, 1),
                GEOMETRY: fixed_size_wkb.position(*place),
            }
        )

    def _end(self, tag: str) -> None:
        line, self._line = self._line, None
        if line is None:
            return
        name = line.row.get("name")
        shown = f"{'route' if tag == 'rte' else 'track'} {name or 'without a name'}"
        if line.off:
            what = f"{line.off} points of {shown} in {self.path.name}"
            place = Place(file=self.path.name)
            self.findings.append(VALUE_LEFT_OUT.at(place, what=what, reason=_ASTRAY))
        if tag == "trk" and line.timed:
            self._log(line, name)
            return
        self._told_as_line(line, shown)
        rows = self._routes if tag == "rte" else self._tracks
        rows.add(line.row | {GEOMETRY: _line_wkb(line.points.table(_TEXTS))})

    def _log(self, line: Line, name: str | None) -> None:
        table = line.points.table(_TEXTS)
        if line.segments <= 1:
            table = table.drop_columns(["segment"])
        self._logs.append((name, table))
        place, label = Place(file=self.path.name), name or self.path.name
        if not line.above_ellipsoid:
            self.findings.append(HEIGHTS_TAKEN.at(place, layer=label, reason=_HEIGHTS))
        rest = [key for key in line.row if key != "name"]
        if rest:
            what = f"What the track {label} says of itself ({', '.join(rest)})"
            self.findings.append(VALUE_LEFT_OUT.at(place, what=what, reason="a log has no place for it"))

    def _told_as_line(self, line: Line, shown: str) -> None:
        """Tell what a line does not hold of its points."""
        table = line.points.table(_TEXTS)
        missing = [
            name
            for name in table.column_names
            if name not in {"segment", GEOMETRY, *_TEXTS} and table[name].null_count < table.num_rows
        ]
        lone = _lone(table)
        place = Place(file=self.path.name)
        if missing:
            what = f"{', '.join(missing)} of the points of {shown} in {self.path.name}"
            self.findings.append(VALUE_LEFT_OUT.at(place, what=what, reason="lines have no place for them"))
        if lone and len(table) > lone:
            what = f"{lone} single points of {shown} in {self.path.name}"
            self.findings.append(VALUE_LEFT_OUT.at(place, what=what, reason="a segment of one point is no line"))


def _filled(table: pa.Table) -> pa.Table:
    """Return a table without the columns that no row says anything in."""
    return table.select(
        [name for name in table.column_names if name == GEOMETRY or table[name].null_count < table.num_rows]
    )


def _values(node: Node) -> Iterator[tuple[str, str]]:
    """Yield what an element says: the texts in it by name, those of its extensions too."""
    if node.tag == "link":
        yield "link", node.attributes.get("href", "")
        text = node.of("text")
        if text:
            yield "link_text", text.strip()
    elif node.tag in _POINTS:
        for child in node.children:
            if child.tag != "time":
                yield from _values(child)
    else:
        yield from _leaves(node)


def _leaves(node: Node) -> Iterator[tuple[str, str]]:
    if not node.children:
        yield node.tag, node.text.strip()
    for child in node.children:
        yield from _leaves(child)


def _moment(node: Node) -> dict[str, Any]:
    """Return the time of a point; one that cannot be read stays a text."""
    text = node.of("time")
    if text is None:
        return {}
    found = moment(text)
    return {"time": found} if found is not None else {"time_text": text.strip()}


def _place(node: Node) -> tuple[float, float] | None:
    """Return longitude and latitude, None where they are no degrees on Earth."""
    try:
        lon, lat = float(node.attributes["lon"]), float(node.attributes["lat"])
    except (KeyError, ValueError):
        return None
    return (lon, lat) if abs(lon) <= 180.0 and abs(lat) <= 90.0 else None


def _height(text: str | None) -> float | None:
    try:
        found = float(text) if text else math.nan
    except ValueError:
        return None
    return found if math.isfinite(found) else None


def _whole(text: str | None) -> int | None:
    found = _height(text)
    return int(found) if found is not None and 0.0 <= found < 1e9 else None


def _point_wkb(place: tuple[float, float] | None, height: float | None) -> bytes | None:
    if place is None:
        return None
    return to_wkb(shapely.Point(*place) if height is None else shapely.Point(*place, height))


def _parts(table: pa.Table) -> list[np.ndarray[Any, np.dtype[np.float64]]]:
    """Return the positions of each segment."""
    if not table.num_rows:
        return []
    at = shapely.get_coordinates(shapely.from_wkb(np.array(table[GEOMETRY].to_pylist(), dtype=object)))
    return np.split(at, np.flatnonzero(np.diff(table["segment"].to_numpy())) + 1)


def _lone(table: pa.Table) -> int:
    return sum(len(part) == 1 for part in _parts(table))


def _line_wkb(table: pa.Table) -> bytes | None:
    lines = [shapely.LineString(part) for part in _parts(table) if len(part) > 1]
    if not lines:
        return None
    return to_wkb(lines[0] if len(lines) == 1 else shapely.MultiLineString(lines))

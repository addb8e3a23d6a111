"""The rows of a layer that have a shape, in longitudes of one circle; what has none is told, part by part."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries import shapes
from taskdata.geometry import rings, soundness
from taskdata.model.shapes import Area, AreaKind
from taskdata.raised_rules.import_.bad_geometry import RULE as BAD_GEOMETRY
from taskdata.raised_rules.import_.beyond_180 import RULE as BEYOND_SEAM
from taskdata.raised_rules.import_.heights_left_out import RULE as HEIGHTS_LEFT_OUT
from taskdata.raised_rules.import_.heights_taken import RULE as HEIGHTS_TAKEN
from taskdata.raised_rules.import_.no_geometry import RULE as NO_GEOMETRY
from taskdata.raised_rules.import_.part_left_out import RULE as PART_LEFT_OUT

_FLAT_ONLY = "lines and fields have none"


class Usable:
    """The usable geometry of a layer in WGS 84.

    Parameters
    ----------
    raw : RawTable
        In WGS 84, every geometry of it readable.
    told : set of int
        Rows of the file, from 0, that a finding is there for already.

    Attributes
    ----------
    sound : ndarray of geometry or None
        What is left of each row, its longitudes as they stand.
    rows : list of (int, geometry)
        Row of the table, and a polygon, a line or a point, or several of the first two. Points have their height where
        they have one.
    findings : list of Finding
    """

    def __init__(self, raw: RawTable, told: set[int | None]) -> None:
        self.raw = raw
        self.findings: list[Finding] = []
        self.rows: list[tuple[int, Any]] = []
        records = np.empty(raw.table.num_rows, dtype=object)
        records[:] = raw.table[GEOMETRY].to_pylist()
        with np.errstate(invalid="ignore"):
            self.sound = np.asarray(shapely.from_wkb(records), dtype=object)
            suspects = {
                *soundness.suspects(self.sound).tolist(),
                *np.flatnonzero(shapely.is_missing(self.sound)).tolist(),
            }
        for row in sorted(suspects):
            self.sound[row] = self._sound(row, self.sound[row], told)
        for row in np.flatnonzero(~shapely.is_missing(self.sound)).tolist():
            self.rows += [(row, part) for part in _kinds(self._on_one_circle(row, self.sound[row]))]
        self._tell_heights()

    def _place(self, row: int, spot: tuple[float, float] | None = None) -> Place:
        return Place(file=self.raw.file, record=self.raw.number(row) - 1, location=spot)

    def _where(self, row: int) -> dict[str, Any]:
        return {"row": self.raw.number(row), "layer": self.raw.label}

    def _sound(self, row: int, geometry: Any, told: set[int | None]) -> Any:
        left = soundness.sound(geometry)
        if left.geometry is not None:
            for part in left.left_out:
                place = self._place(row, part.place)
                self._tell(PART_LEFT_OUT.at(place, reason=part.why, **self._where(row)))
        elif left.left_out:
            part = left.left_out[0]
            place = self._place(row, part.place)
            self._tell(BAD_GEOMETRY.at(place, reason=part.why, **self._where(row)))
        elif self._place(row).record not in told:
            self._tell(NO_GEOMETRY.at(self._place(row), **self._where(row)))
        return left.geometry

    def _tell(self, finding: Finding) -> None:
        self.findings.append(finding)

    def _on_one_circle(self, row: int, geometry: Any) -> Any:
        turned = on_one_circle(geometry)
        if turned is not geometry:
            lon = shapely.get_coordinates(geometry)[:, 0]
            farthest = f"{float(lon[np.abs(lon).argmax()]):.9g}"
            self._tell(BEYOND_SEAM.at(self._place(row), value=farthest, **self._where(row)))
        return turned

    def _tell_heights(self) -> None:
        high = [geometry for _, geometry in self.rows if geometry.has_z]
        place, layer = Place(file=self.raw.file), self.raw.label
        if any(geometry.geom_type != "Point" for geometry in high):
            self._tell(HEIGHTS_LEFT_OUT.at(place, layer=layer, reason=_FLAT_ONLY))
        if self.raw.heights is not None and any(geometry.geom_type == "Point" for geometry in high):
            self._tell(HEIGHTS_TAKEN.at(place, layer=layer, reason=self.raw.heights))


def on_one_circle(geometry: Any) -> Any:
    """Return a geometry with longitudes from -180 to 180, cut where it crosses the antimeridian; itself if they are."""
    if (np.abs(shapely.get_coordinates(geometry)[:, 0]) <= 180.0).all():
        return geometry
    parts = [cut for part in _kinds(geometry) for cut in [_cut(part)] if cut is not None]
    return parts[0] if len(parts) == 1 else shapely.GeometryCollection(parts)


def _kinds(geometry: Any) -> Iterator[Any]:
    """Yield a geometry, points one by one, a collection as its polygons, lines and points."""
    if geometry.geom_type in ("GeometryCollection", "MultiPoint"):
        for member in geometry.geoms:
            if not member.is_empty:
                yield from _kinds(member)
    else:
        yield geometry


def _cut(geometry: Any) -> Any:
    if shapes.is_polygonal(geometry):
        pieces = shapes.polygons(shapely.force_2d(geometry))
        return shapes.multipolygon(Area(AreaKind.BOUNDARY, (outline,), tuple(holes)) for outline, holes in pieces)
    if shapes.is_linear(geometry):
        cut = [shapes.line(rings.wrap(points)) for points in shapes.lines(shapely.force_2d(geometry))]
        parts = [part for line in cut for part in shapely.get_parts(line)]
        return parts[0] if len(parts) == 1 else shapely.MultiLineString(parts)
    return shapely.transform(geometry, _wrapped, include_z=bool(geometry.has_z))


def _wrapped(coordinates: Any) -> Any:
    return np.column_stack([rings.wrap(coordinates[:, :2]), coordinates[:, 2:]])

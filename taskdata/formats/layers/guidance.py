"""Layer ``guidance_lines``: the lines, directions and circles that machines are steered along.

A line that is stored as facts is drawn: a direction from its point A along its heading, a pivot as its circle. When
such a drawing is changed it is read accordingly, see `redrawn`.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from taskdata.formats.columns import (
    GEOMETRY,
    Column,
    ColumnType,
    GeometryType,
    Layer,
    LayerSpec,
    Row,
    from_rows,
    key_column,
)
from taskdata.formats.geometries import shapes
from taskdata.formats.layers import wording
from taskdata.formats.layers.lines import only_line
from taskdata.formats.layers.row_edits import Changes
from taskdata.geometry.geodesy import azimuth, destination, inverse
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import open_ring
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.model.shapes import Coordinates

DRAWN_LENGTH_M = 500.0
"""How long a direction is drawn from its point A."""

CIRCLE_POINTS = 72
"""How many points a pivot is drawn with."""


def kind_of(text: object) -> GuidanceKind | None:
    """Return the kind that a word stands for, None for any other text."""
    wanted = wording.plain(text)
    return GuidanceKind(wanted) if wanted in tuple(GuidanceKind) else None


SPEC = LayerSpec(
    "guidance_lines",
    GeometryType.LINE,
    "Guidance lines of fields. They steer machines: check the first pass by eye after any change.",
    (
        key_column("guidance line"),
        Column("id", ColumnType.TEXT, "Identifier of the guidance line, such as GPN3"),
        Column("name", ColumnType.TEXT, "Name"),
        Column("field", ColumnType.TEXT, "Identifier of its field"),
        Column("group", ColumnType.TEXT, "Identifier of its group"),
        Column("group_name", ColumnType.TEXT, "Name of the group", derived=True),
        Column("kind", ColumnType.TEXT, "How the line is defined", tuple(GuidanceKind), meaning=kind_of),
        Column("heading_deg", ColumnType.REAL, "Stored heading, clockwise from true north", short="heading"),
        Column("spacing_m", ColumnType.REAL, "Distance between neighbouring passes"),
        Column("radius_m", ColumnType.REAL, "Radius of a pivot"),
        Column("swaths_left", ColumnType.INTEGER, "Passes to the left; empty = no limit", short="swaths_l"),
        Column("swaths_right", ColumnType.INTEGER, "Passes to the right; empty = no limit", short="swaths_r"),
        Column(
            "propagation",
            ColumnType.TEXT,
            "Sides with passes; empty = not stated, both sides",
            tuple(wording.PROPAGATION.values()),
            meaning=partial(wording.number, wording.PROPAGATION),
            short="propagat",
        ),
        Column(
            "extension",
            ColumnType.TEXT,
            "Ends at which the line is extended; empty = not stated, both ends",
            tuple(wording.EXTENSION.values()),
            meaning=partial(wording.number, wording.EXTENSION),
        ),
        Column(
            "direction",
            ColumnType.TEXT,
            "Direction in which a pivot is driven",
            tuple(wording.DIRECTION.values()),
            meaning=partial(wording.number, wording.DIRECTION),
        ),
        Column(
            "drawn",
            ColumnType.BOOLEAN,
            "The geometry is drawn from other columns: 500 m along the heading, or the circle of a pivot",
            derived=True,
        ),
    ),
)

_PLAIN = ("name", "heading_deg", "spacing_m", "radius_m", "swaths_left", "swaths_right")
_NUMBERS = {"propagation": wording.PROPAGATION, "extension": wording.EXTENSION, "direction": wording.DIRECTION}


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    rows = [row_of(field, group, line) for field in dataset.fields for group in field.groups for line in group.lines]
    return from_rows(SPEC, rows)


def drawing(line: GuidanceLine) -> tuple[Coordinates, bool]:
    """Return the points that a line is drawn with, and whether they were drawn from facts."""
    points = line.points
    if line.kind is GuidanceKind.A_PLUS and len(points) == 1:
        if line.heading_deg is None or not np.isfinite(points).all():
            return points, True
        return np.vstack([points, destination(points[0], line.heading_deg, DRAWN_LENGTH_M)]), True
    if line.kind is GuidanceKind.PIVOT:
        return _circle(line), True
    return points, False


def made(row: Row) -> GuidanceLine:
    """Return a new record of a row that came from nowhere in the source.

    Without a known kind two points make an AB line and more a curve.
    """
    points = only_line(row.get(GEOMETRY))
    kind = kind_of(row.get("kind"))
    if kind is None:
        kind = GuidanceKind.AB if len(points) == 2 else GuidanceKind.CURVE
    values: dict[str, Any] = {name: row.get(name) for name in _PLAIN}
    values |= {name: wording.number(named, row.get(name)) for name, named in _NUMBERS.items()}
    line = GuidanceLine(kind=kind, points=points, id=row.get("id"), **values)
    if kind is GuidanceKind.PIVOT and row.get("drawn") is not False:
        bare = replace(line, points=np.empty((0, 2)))
        return replace(bare, **_pivot(bare, points, radius_stated=line.radius_m is not None))
    if kind is GuidanceKind.A_PLUS and len(points) > 1:
        heading = azimuth(points[0], points[-1]) if line.heading_deg is None else line.heading_deg
        return replace(line, points=points[:1], heading_deg=heading)
    return line


def drawn_heading(line: GuidanceLine, geometry: shapes.Geometry) -> float | None:
    """Return the heading of the line that a direction was drawn with, None for other lines."""
    points = only_line(geometry)
    return azimuth(points[0], points[-1]) if line.kind is GuidanceKind.A_PLUS and len(points) > 1 else None


def edited(line: GuidanceLine, changes: Changes) -> GuidanceLine:
    """Return the record with the changed columns of its row taken over."""
    values = changes.take(*_PLAIN)
    for name, named in _NUMBERS.items():
        values |= changes.number(name, named)
    if "kind" in changes.values:
        kind = kind_of(changes.values["kind"])
        if kind is None:
            changes.refuse("kind", changes.values["kind"], "one of the listed words")
        else:
            values["kind"] = kind
    if changes.moved:
        if len(shapes.lines(changes.geometry)) > 1:
            changes.leave(GEOMETRY, "it has several parts, and only the first is used")
        values = redrawn(line, only_line(changes.geometry), set(values)) | values
    return replace(line, **values) if values else line


def redrawn(line: GuidanceLine, points: Coordinates, stated: set[str]) -> dict[str, Any]:
    """Return the attributes that a changed geometry means.

    Of a drawn direction the first point is A, and the heading is that from the first to the last point. Of a pivot
    the centre is that of the circle, its radius the mean distance to it, and stored points A and B move along.
    ``stated`` names attributes that were changed in their own columns, which then decide.
    """
    _, drawn = drawing(line)
    if not drawn:
        return {"points": points}
    if line.kind is GuidanceKind.A_PLUS:
        return {"points": points[:1], "heading_deg": azimuth(points[0], points[-1])}
    return _pivot(line, points, radius_stated="radius_m" in stated)


def _pivot(line: GuidanceLine, points: Coordinates, *, radius_stated: bool) -> dict[str, Any]:
    ring = open_ring(points)
    plane = LocalPlane.centred_on(ring)
    centre = np.array([plane.lon, plane.lat])
    moved = np.vstack([centre, line.points[1:] + (centre - line.points[0])]) if len(line.points) else centre[None]
    values: dict[str, Any] = {"points": moved}
    if not radius_stated:
        radius = float(inverse(centre, ring)[1].mean())
        before = _radius(line)
        changed = before is None or abs(radius - before) > 0.005 * max(before, 1.0)
        if changed and (line.radius_m is not None or len(line.points) < 2):
            values["radius_m"] = round(radius, 3)
    return values


def _circle(line: GuidanceLine) -> Coordinates:
    radius = _radius(line)
    if radius is None or not np.isfinite(line.points[0]).all():
        return line.points[:1]
    headings = np.linspace(0.0, 360.0, CIRCLE_POINTS, endpoint=False)
    ring = destination(np.tile(line.points[0], (CIRCLE_POINTS, 1)), headings, radius)
    return np.vstack([ring, ring[:1]])


def _radius(line: GuidanceLine) -> float | None:
    """Return the radius of a pivot, stated or told by its point A, in metres."""
    if not len(line.points):
        return None
    if line.radius_m is not None:
        return line.radius_m
    return float(inverse(line.points[0], line.points[1])[1][0]) if len(line.points) > 1 else None


def row_of(field: Field, group: GuidanceGroup | None, line: GuidanceLine) -> Row:
    """Return the row of a guidance line of a field; ``group`` None where it is in none."""
    points, drawn = drawing(line)
    return {
        "key": line.key,
        "id": line.id,
        "name": line.name,
        "field": field.id,
        "group": None if group is None else group.id,
        "group_name": None if group is None else group.name,
        "kind": line.kind.value,
        "heading_deg": line.heading_deg,
        "spacing_m": line.spacing_m,
        "radius_m": line.radius_m,
        "swaths_left": line.swaths_left,
        "swaths_right": line.swaths_right,
        **{name: named.get(getattr(line, name)) for name, named in _NUMBERS.items()},
        "drawn": drawn,
        GEOMETRY: shapes.to_wkb(shapes.line(points)),
    }

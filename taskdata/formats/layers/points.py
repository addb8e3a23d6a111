"""Layer ``points``: single places with a meaning."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

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
from taskdata.formats.layers.row_edits import Changes
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Point, PointKind

_kind = partial(wording.member, PointKind)

SPEC = LayerSpec(
    "points",
    GeometryType.POINT,
    "Single points of a field: entrances, obstacles, stores, marks.",
    (
        key_column("point"),
        Column("id", ColumnType.TEXT, "Identifier of the point, such as PNT3"),
        Column("field", ColumnType.TEXT, "Identifier of its field"),
        Column(
            "kind",
            ColumnType.TEXT,
            "What the point is",
            wording.words(PointKind),
            meaning=partial(wording.member, PointKind),
        ),
        Column("name", ColumnType.TEXT, "Name"),
        Column("up_m", ColumnType.REAL, "Height above the WGS 84 ellipsoid"),
        Column("colour", ColumnType.INTEGER, "Number in the standard's palette"),
    ),
)


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    return from_rows(SPEC, [_row(field, point) for field in dataset.fields for point in field.points])


def made(row: Row) -> Point:
    """Return a new record of a row that came from nowhere in the source."""
    kind = wording.member(PointKind, row.get("kind"))
    lon, lat = place(row.get(GEOMETRY))
    return Point(
        kind=PointKind.OTHER if kind is None else kind,
        lon=lon,
        lat=lat,
        name=row.get("name"),
        id=row.get("id"),
        up_m=row.get("up_m"),
        colour=row.get("colour"),
    )


def edited(point: Point, changes: Changes) -> Point:
    """Return the record with the changed columns of its row taken over."""
    values = changes.take("name", "up_m", "colour") | changes.member("kind", PointKind)
    if changes.moved:
        values["lon"], values["lat"] = place(changes.geometry)
    return replace(point, **values) if values else point


def place(geometry: shapes.Geometry) -> tuple[float, float]:
    """Return longitude and latitude of a point, NaN where there is none."""
    return (float(geometry.x), float(geometry.y)) if geometry is not None else (math.nan, math.nan)


def _row(field: Field, point: Point) -> Row:
    return {
        "key": point.key,
        "id": point.id,
        "field": field.id,
        "kind": wording.word(point.kind),
        "name": point.name,
        "up_m": point.up_m,
        "colour": point.colour,
        GEOMETRY: shapes.to_wkb(shapes.point(point.lon, point.lat)),
    }

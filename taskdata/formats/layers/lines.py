"""Layer ``lines``: tram lines, drains, fences, and guidance lines of sets before version 4."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

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
from taskdata.formats.layers.row_edits import Changes
from taskdata.geometry.geodesy import line_length
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Coordinates, Line, LineKind

_kind = partial(wording.member, LineKind)

SPEC = LayerSpec(
    "lines",
    GeometryType.LINE,
    "Lines on or beside a field other than guidance patterns: tram lines, drains, fences, sampling routes.",
    (
        key_column("line"),
        Column("id", ColumnType.TEXT, "Identifier of the line, such as LSG3"),
        Column("field", ColumnType.TEXT, "Identifier of its field"),
        Column(
            "kind",
            ColumnType.TEXT,
            "What the line is",
            wording.words(LineKind),
            meaning=partial(wording.member, LineKind),
        ),
        Column("name", ColumnType.TEXT, "Name"),
        Column("width_m", ColumnType.REAL, "Swath width of a guidance line"),
        Column("length_m", ColumnType.REAL, "Length on the ellipsoid", derived=True),
        Column("colour", ColumnType.INTEGER, "Number in the standard's palette"),
    ),
)


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    return from_rows(SPEC, [_row(field, line) for field in dataset.fields for line in field.lines])


def made(row: Row) -> Line:
    """Return a new record of a row that came from nowhere in the source."""
    kind = wording.member(LineKind, row.get("kind"))
    return Line(
        kind=LineKind.GUIDANCE if kind is None else kind,
        points=only_line(row.get(GEOMETRY)),
        name=row.get("name"),
        id=row.get("id"),
        width_m=row.get("width_m"),
        colour=row.get("colour"),
    )


def edited(line: Line, changes: Changes) -> Line:
    """Return the record with the changed columns of its row taken over."""
    values = changes.take("name", "width_m", "colour") | changes.member("kind", LineKind)
    if changes.moved:
        values["points"] = only_line(changes.geometry)
        if len(shapes.lines(changes.geometry)) > 1:
            changes.leave(GEOMETRY, "it has several parts, and only the first is used")
    return replace(line, **values) if values else line


def only_line(geometry: shapes.Geometry) -> Coordinates:
    """Return the points of the first line of a geometry, (0, 2) where there is none."""
    found = shapes.lines(geometry)
    return found[0] if found else np.empty((0, 2))


def _row(field: Field, line: Line) -> Row:
    return {
        "key": line.key,
        "id": line.id,
        "field": field.id,
        "kind": wording.word(line.kind),
        "name": line.name,
        "width_m": line.width_m,
        "length_m": line_length(line.points),
        "colour": line.colour,
        GEOMETRY: shapes.to_wkb(shapes.line(line.points)),
    }

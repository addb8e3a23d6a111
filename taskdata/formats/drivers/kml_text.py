"""Layers as KML 2.2 (OGC 07-147r2): one document, its schema and a placemark for each row."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import shapely

from taskdata.formats.columns import GEOMETRY, Layer
from taskdata.formats.markup.text import HEAD, decimal, element, escaped

_BEGIN = '<kml xmlns="http://www.opengis.net/kml/2.2">\n<Document>'
_PIECE = 8_192
_SAID = ("name", "description")
_WHEN = "time"
_INT = 1 << 31
_EXACT = 1 << 53


def document(layer: Layer) -> Iterator[str]:
    """Yield the text of a file of one layer, piece by piece."""
    table = layer.table
    said = [name for name in _SAID if name in table.column_names and pa.types.is_string(table[name].type)]
    timed = _WHEN in table.column_names and pa.types.is_timestamp(table[_WHEN].type)
    data = [name for name in layer.attributes.column_names if name not in said and not (timed and name == _WHEN)]
    schema = escaped(layer.name)
    yield f"{HEAD}{_BEGIN}{element('name', layer.name)}{element('description', layer.spec.description)}\n"
    fields = "".join(f'<SimpleField name="{escaped(name)}" type="{_type(table[name])}"/>' for name in data)
    yield f'<Schema name="{schema}" id="{schema}">{fields}</Schema>\n'
    for start in range(0, table.num_rows, _PIECE):
        piece = table.slice(start, _PIECE)
        shapes = [None] * len(piece)
        if GEOMETRY in piece.column_names:
            shapes = shapely.from_wkb(np.array(piece[GEOMETRY].to_pylist(), dtype=object)).tolist()
        for row, shape in zip(piece.to_pylist(), shapes, strict=True):
            texts = "".join(element(name, row[name]) for name in said)
            when = f"<TimeStamp>{element('when', _text(row[_WHEN]))}</TimeStamp>" if timed and row[_WHEN] else ""
            cells = "".join(_cell(name, row[name]) for name in data)
            extended = f'<ExtendedData><SchemaData schemaUrl="#{schema}">{cells}</SchemaData></ExtendedData>'
            yield f"<Placemark>{texts}{when}{extended if cells else ''}{_shape(shape)}</Placemark>\n"
    yield "</Document>\n</kml>\n"


def _type(column: pa.ChunkedArray) -> str:
    """Return the type of a field; the whole numbers of KML have 32 bits."""
    if pa.types.is_boolean(column.type):
        return "bool"
    if pa.types.is_floating(column.type):
        return "double"
    if pa.types.is_integer(column.type):
        largest = max(abs(value or 0) for value in pc.min_max(column).as_py().values())
        return "int" if largest < _INT else "double" if largest < _EXACT else "string"
    return "string"


def _cell(name: str, value: object) -> str:
    return "" if value is None else f'<SimpleData name="{escaped(name)}">{escaped(_text(value))}</SimpleData>'


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return value.isoformat(timespec="milliseconds")
    return decimal(value) if isinstance(value, float) else str(value)


def _shape(shape: Any) -> str:
    if shape is None or shape.is_empty:
        return ""
    parts = shapely.get_parts(shape)
    texts = "".join(map(_part, parts))
    return texts if len(parts) == 1 else f"<MultiGeometry>{texts}</MultiGeometry>"


def _part(shape: Any) -> str:
    if shape.geom_type == "Polygon":
        holes = "".join(f"<innerBoundaryIs>{_ring(ring)}</innerBoundaryIs>" for ring in shape.interiors)
        outer = f"<outerBoundaryIs>{_ring(shape.exterior)}</outerBoundaryIs>"
        return f"<Polygon><tessellate>1</tessellate>{outer}{holes}</Polygon>"
    if shape.geom_type == "LineString":
        return f"<LineString><tessellate>1</tessellate>{_coordinates(shape)}</LineString>"
    return f"<Point>{_coordinates(shape)}</Point>"


def _ring(ring: Any) -> str:
    return f"<LinearRing>{_coordinates(ring)}</LinearRing>"


def _coordinates(shape: Any) -> str:
    """Return longitude and latitude; without a height, so that the shape lies on the ground."""
    pairs = (f"{decimal(lon)},{decimal(lat)}" for lon, lat in shapely.get_coordinates(shape).tolist())
    return f"<coordinates>{' '.join(pairs)}</coordinates>"

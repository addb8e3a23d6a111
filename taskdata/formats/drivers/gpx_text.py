"""Layers as GPX 1.1: elements in the order of its schema."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

import numpy as np
import shapely

from taskdata.formats.columns import GEOMETRY, GeometryType, Layer
from taskdata.formats.markup.text import HEAD, decimal, element

_BEGIN = '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="taskdata">\n'
_PIECE = 16_384
_LOG = ("task", "file")
_UTC = "gps_time"


def columns_held(layer: Layer) -> frozenset[str]:
    """Return the columns of a layer that GPX has a place for."""
    names = {"name", "kind"}
    if _is_log(layer):
        names |= {*_LOG, "record", _UTC, "satellites", "hdop", "pdop"}
    return frozenset(names & set(layer.table.column_names))


def document(layer: Layer) -> Iterator[str]:
    """Yield the text of a file of one layer, piece by piece."""
    yield HEAD + _BEGIN
    name = element("name", layer.name)
    yield f"<metadata>{name}{element('desc', layer.spec.description)}</metadata>\n"
    if _is_log(layer):
        yield from _logs(layer)
    elif layer.spec.geometry is GeometryType.POINT:
        yield from (_point("wpt", shape, row) for row, shape in _rows(layer) if shape is not None)
    else:
        yield from (_track(row, shape) for row, shape in _rows(layer) if shape is not None)
    yield "</gpx>\n"


def _is_log(layer: Layer) -> bool:
    """Tell whether the rows of a layer are records of logs."""
    return layer.spec.geometry is GeometryType.POINT and {*_LOG, _UTC} <= set(layer.spec.by_name)


def _rows(layer: Layer) -> Iterator[tuple[dict[str, Any], Any]]:
    table = layer.table.select([*sorted(columns_held(layer)), GEOMETRY])
    for start in range(0, table.num_rows, _PIECE):
        piece = table.slice(start, _PIECE)
        shapes = shapely.from_wkb(np.array(piece[GEOMETRY].to_pylist(), dtype=object))
        yield from zip(piece.drop_columns([GEOMETRY]).to_pylist(), shapes, strict=True)


def _logs(layer: Layer) -> Iterator[str]:
    """Yield the records of each log as a track; where records have no position its segment ends."""
    for (_, file), records in groupby(_rows(layer), key=lambda item: tuple(item[0][name] for name in _LOG)):
        yield f"<trk>{element('name', file)}\n"
        for there, run in groupby(records, key=lambda item: item[1] is not None):
            if there:
                yield "<trkseg>\n"
                yield from (_point("trkpt", shape, row) for row, shape in run)
                yield "</trkseg>\n"
        yield "</trk>\n"


def _point(tag: str, shape: Any, row: dict[str, Any]) -> str:
    inside = [
        element("time", _utc(row.get(_UTC))),
        element("name", row.get("name")),
        element("type", row.get("kind")),
        element("sat", _number(row.get("satellites"))),
        element("hdop", _number(row.get("hdop"))),
        element("pdop", _number(row.get("pdop"))),
    ]
    return f"<{tag} {_at(shape.x, shape.y)}>{''.join(inside)}</{tag}>\n"


def _track(row: dict[str, Any], shape: Any) -> str:
    parts = (
        "".join(f"<trkpt {_at(lon, lat)}/>" for lon, lat in shapely.get_coordinates(part).tolist())
        for part in shapely.get_parts(shape)
    )
    segments = "".join(f"<trkseg>{points}</trkseg>" for points in parts)
    said = element("name", row.get("name")) + element("type", row.get("kind"))
    return f"<trk>{said}{segments}</trk>\n"


def _at(lon: float, lat: float) -> str:
    return f'lat="{decimal(lat)}" lon="{decimal(lon)}"'


def _number(value: float | None) -> str | None:
    return None if value is None else decimal(value) if isinstance(value, float) else str(value)


def _utc(value: datetime | None) -> str | None:
    return None if value is None else f"{value.isoformat(timespec='milliseconds')}Z"

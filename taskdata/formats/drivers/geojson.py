"""GeoJSON (RFC 7946) writing: a folder of feature collections, one a layer, streamed.

Coordinates are written with the fewest digits that give the same number back.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray

from taskdata import strict_json
from taskdata.formats import side_tables
from taskdata.formats.base import LayerFiles, Tables, read_each
from taskdata.formats.columns import GEOMETRY, Layer
from taskdata.formats.drivers.geojson_read import read_file
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.heads import geojson_columns
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.phrases import phrase
from taskdata.progress import stage

_CHUNK = 20_000


class GeoJson:
    """The driver; a layer a file."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return nothing: the format holds everything."""
        return []

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into its file."""
        for layer in side_tables.with_side_tables(layers, carried):
            with writing(target.path), target.of(layer).open("w", encoding="utf-8", newline="\n") as file:
                file.writelines(document(layer))

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the first feature."""
        names = geojson_columns(path)
        return {} if names is None else {path.stem: names}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return every document."""
        return read_each(files, read_file)


DRIVER = GeoJson()


def document(layer: Layer) -> Iterator[str]:
    """Yield the text of a layer as a feature collection, a feature a line."""
    yield f'{{"type":"FeatureCollection","name":{_text(layer.name)},"features":[\n'
    with stage(phrase("Writing {name}", name=layer.name), "rows", layer.table.num_rows) as advance:
        for start in range(0, layer.table.num_rows, _CHUNK):
            part = layer.table.slice(start, _CHUNK)
            yield (",\n" if start else "") + ",\n".join(_features(part))
            advance(part.num_rows)
    yield "\n]}\n"


def geometry_texts(records: Sequence[bytes | None]) -> list[str]:
    """Return the GeoJSON text of each geometry given as WKB, ``null`` for none."""
    column = np.empty(len(records), dtype=object)
    column[:] = records
    shapes = shapely.from_wkb(column)
    kinds = shapely.get_type_id(shapes)
    texts = ["null"] * len(records)
    for kind in np.unique(kinds[kinds >= 0]):
        rows = np.flatnonzero(kinds == kind)
        for row, text in zip(rows.tolist(), _of_kind(shapes[rows], int(kind)), strict=True):
            texts[row] = text
    return texts


def _features(part: pa.Table) -> Iterator[str]:
    names = [name for name in part.column_names if name != GEOMETRY]
    placed = GEOMETRY in part.column_names
    geometry = geometry_texts(part[GEOMETRY].to_pylist()) if placed else ["null"] * part.num_rows
    columns = [_column(name, part[name]) for name in names]
    for shape, *values in zip(geometry, *columns, strict=True):
        yield f'{{"type":"Feature","geometry":{shape},"properties":{{{",".join(values)}}}}}'


def _column(name: str, column: pa.ChunkedArray) -> list[str]:
    """Return the members of a column, such as ``"key":3``."""
    label = f"{_text(name)}:"
    empty = label + "null"
    form = _form(column.type)
    if pa.types.is_timestamp(column.type):
        column = _time_texts(column)
    return [empty if value is None else label + form(value) for value in column.to_pylist()]


def _form(kind: pa.DataType) -> Callable[[Any], str]:
    if pa.types.is_boolean(kind):
        return lambda value: "true" if value else "false"
    if pa.types.is_integer(kind):
        return str
    if pa.types.is_floating(kind):
        return lambda value: repr(value) if np.isfinite(value) else "null"
    if pa.types.is_binary(kind):
        return lambda value: f'"{base64.b64encode(value).decode("ascii")}"'
    return _text


def _time_texts(column: pa.ChunkedArray) -> pa.Array:
    """Return local times as text such as ``2026-05-03T10:00:00.250``."""
    texts = np.datetime_as_string(column.to_numpy().astype("datetime64[ms]")).tolist()
    return pa.array([None if text == "NaT" else text for text in texts], pa.string())


def _text(value: str) -> str:
    return strict_json.dumps(value)


def _of_kind(shapes: Any, kind: int) -> list[str]:
    """Return the texts of geometries of one type, from their coordinates taken all at once."""
    name, depth = _KINDS[kind]
    _, coordinates, offsets = shapely.to_ragged_array(shapes, include_z=False)
    if not np.isfinite(coordinates).all():  # JSON has no word for such a position
        sound = np.array([bool(np.isfinite(shapely.get_coordinates(shape)).all()) for shape in shapes])
        return _with_gaps(shapes, kind, sound & ~shapely.is_empty(shapes))
    texts = [f"[{x!r},{y!r}]" for x, y in coordinates.tolist()]
    for level in offsets[:depth]:
        bounds = level.tolist()
        texts = [f"[{','.join(texts[start:end])}]" for start, end in pairwise(bounds)]
    return [f'{{"type":"{name}","coordinates":{text}}}' for text in texts]


def _with_gaps(shapes: Any, kind: int, sound: NDArray[np.bool_]) -> list[str]:
    """Return the texts of the geometries that are sound, and ``null`` for the others."""
    texts = iter(_of_kind(shapes[sound], kind) if sound.any() else ())
    return [next(texts) if good else "null" for good in sound.tolist()]


_KINDS = {
    0: ("Point", 0),
    1: ("LineString", 1),
    3: ("Polygon", 2),
    4: ("MultiPoint", 1),
    5: ("MultiLineString", 2),
    6: ("MultiPolygon", 3),
}
"""Name by type number of shapely, and how many lists stand round its positions."""

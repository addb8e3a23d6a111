"""Delimited text: a layer a file, points as two columns of coordinates, every other shape as well-known text."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyarrow as pa
import shapely
from pyarrow import csv as arrow_csv

from taskdata.errors import SourceError
from taskdata.file_formats.delimited.angles import Axis
from taskdata.file_formats.delimited.layout import Layout, layout_of
from taskdata.file_formats.text_encoding import GUESSES
from taskdata.findings import Finding, Place
from taskdata.formats.base import LayerFiles, RawTable, Tables, read_each
from taskdata.formats.columns import GEOMETRY, GeometryType, Layer
from taskdata.formats.delimited.formulas import guarded
from taskdata.formats.delimited.places import Places, filled
from taskdata.formats.delimited.rows import Rows, batches
from taskdata.formats.delimited.values import Kind, made
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.heads import csv_columns
from taskdata.formats.spooling import Spool
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.raised_rules.import_.bad_geometry import RULE as BAD_GEOMETRY
from taskdata.raised_rules.import_.letters_guessed import RULE as LETTERS_GUESSED
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT

LONGITUDE, LATITUDE = "longitude", "latitude"
_PIECE = 65_536
_SAMPLE = 2_000
_HEAD = 1 << 22
"""Bytes from the beginning of a file that its layout is told by; a shape may take a million."""


class Delimited:
    """The driver."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return nothing: a text holds every value as it is."""
        return []

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer with commas between its columns, in UTF-8, coordinates in WGS 84 with every digit."""
        for layer in layers:
            with writing(target.path):
                _write(target.of(layer), layer)

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the file."""
        return {path.stem: csv_columns(path)}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the table of each file."""
        return self.read_texts(path, files, {})

    def read_texts(self, path: Path, files: Sequence[Path], encodings: Mapping[str, str]) -> Tables:
        """Return the same, texts of some files in the encodings that a person names."""
        return read_each(files, lambda file: read_file(file, encodings.get(file.name)))


DRIVER = Delimited()


def read_file(path: Path, encoding: str | None = None) -> Tables:
    """Return the rows of a file as a table, and what is wrong in them.

    Parameters
    ----------
    encoding : str, optional
        That of its texts; told by its bytes when not given.

    Raises
    ------
    SourceError
        Its rows cannot be told apart.
    """
    with path.open("rb") as file:
        head = file.read(_HEAD)
        layout = layout_of(head, encoding, whole=len(head) < _HEAD)
    if layout is None:
        raise SourceError(
            "The file holds no table",
            where=path,
            why="its lines are not divided into columns alike by a semicolon, tab, bar or comma",
            remedy="Save it as delimited text, or name another file.",
        )
    if layout.coordinates is None:
        raise SourceError(
            "The table has no coordinates",
            where=path,
            why="no name in its first row says which columns hold coordinates, and no column holds shapes as text",
            remedy="Name the columns in the first row, for example lon and lat, or easting and northing.",
        )
    for tried in (layout.encoding, *(GUESSES if encoding is None else ())):
        try:
            return _table(path, replace(layout, encoding=tried, guessed=layout.guessed or tried != layout.encoding))
        except UnicodeDecodeError:
            continue
    why = None if encoding is None else f"they are not in {encoding}"
    raise SourceError("The texts of the file cannot be read", where=path, why=why, remedy="Save it in UTF-8.")


def _table(path: Path, layout: Layout) -> Tables:
    kinds = {name: Kind() for name in layout.names}
    samples: dict[str, list[str]] = {name: [] for name in layout.names}
    for batch in batches(path, layout, Rows()):
        for name in layout.names:
            kinds[name].look(batch[name])
            if len(samples[name]) < _SAMPLE:
                samples[name] += filled(batch[name], _SAMPLE)
    places = _places(layout, kinds, samples)
    used = layout.coordinates.columns if layout.coordinates else frozenset[int]()
    kept = [name for number, name in enumerate(layout.names) if number not in used]
    spool, seen = Spool(), Rows()
    for batch in batches(path, layout, seen):
        arrays = {_attribute(name): made(batch[name], kinds[name], comma=layout.comma) for name in kept}
        if places is not None:
            arrays[GEOMETRY] = places.of(batch)
        spool.add(pa.record_batch(arrays))
    table = spool.table()
    if table is None:
        columns = {name: pa.array([], pa.string()) for name in map(_attribute, kept)}
        table = pa.table(columns if places is None else {**columns, GEOMETRY: pa.array([], pa.large_binary())})
    crs = f"EPSG:{places.srid}" if places is not None and places.srid else None
    found = Tables(findings=list(_findings(path, layout, seen, places)))
    found.add(RawTable(path.stem, path.name, table, crs))
    return found


def _attribute(name: str) -> str:
    """Return the name of a column that is no shape; ``geometry`` is that of the shapes."""
    return f"{name}_text" if name == GEOMETRY else name


def _places(layout: Layout, kinds: dict[str, Kind], samples: dict[str, list[str]]) -> Places | None:
    found = layout.coordinates
    if found is None:
        return None
    sides = {Axis.LONGITUDE: found.x, Axis.LATITUDE: found.y}
    texts = {axis: samples[layout.names[column]] if column is not None else [] for axis, column in sides.items()}
    return Places(layout.names, found, kinds, layout.comma, texts)


def _findings(path: Path, layout: Layout, seen: Rows, places: Places | None) -> Iterator[Finding]:
    file = Place(file=path.name)
    if layout.guessed:
        yield LETTERS_GUESSED.at(file, layer=path.name, guess=layout.encoding)
    for number, rest in seen.long.items():
        yield VALUE_LEFT_OUT.at(
            Place(file=path.name, record=number - 1),
            what=f"{rest!r} at the end of row {number} of {path.name}",
            reason=f"the row has more cells than the {len(layout.names)} columns",
        )
    if seen.more > len(seen.long):
        yield VALUE_LEFT_OUT.at(
            file,
            what=f"Cells at the end of {seen.more - len(seen.long)} more rows of {path.name}",
            reason=f"the rows have more cells than the {len(layout.names)} columns",
        )
    for number, why in places.bad.items() if places else ():
        yield BAD_GEOMETRY.at(Place(file=path.name, record=number - 1), row=number, layer=path.name, reason=why)
    if places is not None and places.more:
        yield VALUE_LEFT_OUT.at(
            file, what=f"The places of {places.more} more rows of {path.name}", reason="they cannot be read either"
        )


def _write(path: Path, layer: Layer) -> None:
    table, kind = layer.attributes, layer.spec.geometry
    if kind is GeometryType.POINT:
        at = np.column_stack([np.full((layer.table.num_rows, 2), np.nan)])
        place = shapely.from_wkb(np.array(layer.table[GEOMETRY].to_pylist(), dtype=object))
        there = ~shapely.is_missing(place)
        at[there] = np.column_stack([shapely.get_x(place[there]), shapely.get_y(place[there])])
        for name, values in ((LONGITUDE, at[:, 0]), (LATITUDE, at[:, 1])):
            table = table.append_column(name, pa.array(values, from_pandas=True))
    elif kind is not None:
        table = table.append_column(GEOMETRY, pa.chunked_array(list(_as_text(layer.table[GEOMETRY])), pa.string()))
    arrow_csv.write_csv(_guarded(table), path)


def _guarded(table: pa.Table) -> pa.Table:
    for number, column in enumerate(table.schema):
        if pa.types.is_string(column.type) or pa.types.is_large_string(column.type):
            table = table.set_column(number, column, guarded(table.column(number)))
    return table


def _as_text(column: pa.ChunkedArray) -> Iterator[pa.Array]:
    for start in range(0, len(column), _PIECE):
        records = np.array(column.slice(start, _PIECE).to_pylist(), dtype=object)
        yield pa.array(shapely.to_wkt(shapely.from_wkb(records), rounding_precision=-1).tolist(), pa.string())

"""The spatial index of very many points in a GeoPackage, made once they are all written.

The index is SQLite's R-tree (GeoPackage 1.3, annex F.3), whose nodes are rows of plain tables
(https://sqlite.org/rtree.html, section 6): two bytes for the depth, two for the number of cells, and in each cell an
identifier and a box of float32. Records of a log follow each other on the ground, so nodes are filled in their order,
from below, and nothing is sorted or held in memory. The virtual table and its triggers are those that GDAL makes.
"""

from __future__ import annotations

import hashlib
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import IO

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.formats.columns import GEOMETRY, GeometryType, Layer, LongLayer
from taskdata.formats.drivers.ogr import write_layer
from taskdata.formats.geometries.fixed_size_wkb import coordinates

_CELLS = 51
"""SQLite's most cells in a node, which fit in pages of 4 KiB."""
_CELL = np.dtype([("id", ">i8"), ("box", ">f4", (4,))])
_NODE = np.dtype([("depth", ">u2"), ("count", ">u2"), ("cells", _CELL, (_CELLS,))])
_POINT = np.dtype([("id", "<i8"), ("lon", "<f8"), ("lat", "<f8")])
_ROOT = 1
_NODES_AT_ONCE = 2_048
_TABLES = ("node", "parent", "rowid")
_MADE = "SELECT sql FROM sqlite_master WHERE name = ?1 OR type = 'trigger' AND name LIKE ?1 || '%'"
_EXTENSIONS = "SELECT sql FROM sqlite_master WHERE name = 'gpkg_extensions'"
_EXTENSION = "SELECT * FROM gpkg_extensions WHERE table_name = ? AND extension_name = 'gpkg_rtree_index'"
_PARENT = 'INSERT INTO "{}_parent" VALUES (?, ?)'
_NODE_ROW = 'INSERT INTO "{}_node" VALUES (?, ?)'
_COPY = ('DELETE FROM "{0}_{2}"', 'INSERT INTO "{0}_{2}" SELECT * FROM "{1}_{2}"')
_ROOT_OF = (
    'UPDATE "{}_rowid" SET nodeno = ? WHERE nodeno = ?',
    'UPDATE "{}_parent" SET parentnode = ? WHERE parentnode = ?',
)
_DATA_OF = 'SELECT data FROM "{}_node" WHERE nodeno = ?'
_ROOT_DATA = 'UPDATE "{}_node" SET data = ? WHERE nodeno = ?'
_DROP = 'DELETE FROM "{}_node" WHERE nodeno = ?'
_ROWS = """INSERT INTO "{}_rowid" WITH RECURSIVE row(id) AS (VALUES(?) UNION ALL SELECT id + 1 FROM row WHERE id < ?)
 SELECT id, ? + (id - ?) / ? FROM row"""


class PointIndexes:
    """The indexes of the layers of one file; layers with the same points get copies."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._known: dict[bytes, str] = {}

    @staticmethod
    def suits(layer: Layer) -> bool:
        """Tell whether the index of a layer is made here."""
        return isinstance(layer, LongLayer) and layer.spec.geometry is GeometryType.POINT and _can_be_filled()

    def write(self, layer: Layer) -> None:
        """Write a layer by GDAL without an index, and then its index."""
        with tempfile.TemporaryFile(prefix="taskdata-") as stream:
            points = _Points(stream)
            noted = LongLayer(layer.spec, layer.schema, layer.count, lambda: points.passed(layer.reader()))
            write_layer(self._path, noted, "GPKG", SPATIAL_INDEX="NO")
            with closing(sqlite3.connect(self._path, isolation_level=None)) as base:
                base.execute("PRAGMA journal_mode = OFF")  # the whole file goes where this fails
                base.execute("PRAGMA synchronous = OFF")
                base.execute("BEGIN")
                name = _declare(base, layer)
                self._fill(base, name, points)
                base.execute("COMMIT")

    def _fill(self, base: sqlite3.Connection, name: str, points: _Points) -> None:
        alike = self._known.setdefault(points.hash.digest(), name)
        if alike == name:
            _Tree(base, name).fill(points)
            return
        for table in _TABLES:
            for statement in _COPY:
                base.execute(statement.format(name, alike, table))


class _Points:
    """The places of the rows of a layer, kept in a file as they pass; rows without a place are left out."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream = stream
        self._rows = 0
        self.hash = hashlib.blake2b()

    def passed(self, batches: pa.RecordBatchReader) -> Iterator[pa.Table]:
        """Yield the rows."""
        for batch in batches:
            places = coordinates(batch.column(batch.schema.get_field_index(GEOMETRY)))
            if places is None:
                raise ValueError("a layer of points has other geometries")
            known = np.flatnonzero(~np.isnan(places).any(axis=1))
            points = np.empty(len(known), _POINT)
            points["id"] = self._rows + 1 + known
            points["lon"], points["lat"] = places[known].T
            self._rows += len(places)
            self.hash.update(points.data)
            self._stream.write(points.data)
            yield pa.Table.from_batches([batch])

    def leaves(self) -> Iterator[NDArray[np.void]]:
        """Yield the points, those of many whole leaves at a time."""
        self._stream.seek(0)
        while data := self._stream.read(_POINT.itemsize * _CELLS * _NODES_AT_ONCE):
            yield np.frombuffer(data, _POINT)


class _Tree:
    """The nodes of an index while they are written, numbered from the root on as they come."""

    def __init__(self, base: sqlite3.Connection, name: str) -> None:
        self._base, self._name = base, name
        self._next = _ROOT + 1

    def fill(self, points: _Points) -> None:
        """Write all nodes."""
        boxes = [np.empty((0, 4), np.float32)]
        for some in points.leaves():
            self._own(some["id"])
            place = np.column_stack([some["lon"], some["lon"], some["lat"], some["lat"]])
            boxes.append(self._write(some["id"], _outward(place)))
        level, depth = np.concatenate(boxes), 0
        while len(level) > 1:
            numbers = np.arange(self._next - len(level), self._next)
            parents = self._next + np.arange(len(level)) // _CELLS
            rows = zip(numbers.tolist(), parents.tolist(), strict=True)
            self._base.executemany(_PARENT.format(self._name), rows)
            level, depth = self._write(numbers, level), depth + 1
        self._set_root(depth)

    def _own(self, rows: NDArray[np.int64]) -> None:
        """Tell of rows in which leaf they will lie, run by run of rows that follow each other."""
        breaks = np.flatnonzero(np.diff(rows) != 1) + 1
        for first, after in zip([0, *breaks.tolist()], [*breaks.tolist(), len(rows)], strict=True):
            begin, last = int(rows[first]), int(rows[after - 1])
            leaf, cell = divmod(first, _CELLS)
            self._base.execute(_ROWS.format(self._name), (begin, last, self._next + leaf, begin - cell, _CELLS))

    def _write(self, ids: NDArray[np.int64], boxes: NDArray[np.float32]) -> NDArray[np.float32]:
        """Write nodes of cells, and return the box of each node."""
        nodes = np.zeros(-(-len(ids) // _CELLS), _NODE)
        nodes["count"] = _CELLS
        nodes["count"][-1] = len(ids) - _CELLS * (len(nodes) - 1)
        whole = np.zeros(len(nodes) * _CELLS, _CELL)
        whole["id"][: len(ids)], whole["box"][: len(ids)] = ids, boxes
        nodes["cells"] = whole.reshape(len(nodes), _CELLS)
        rows = ((self._next + at, node.tobytes()) for at, node in enumerate(nodes))
        self._base.executemany(_NODE_ROW.format(self._name), rows)
        self._next += len(nodes)
        starts = np.arange(0, len(ids), _CELLS)
        low, high = (way.reduceat(boxes, starts, axis=0) for way in (np.minimum, np.maximum))
        return np.column_stack([low[:, 0], high[:, 1], low[:, 2], high[:, 3]])

    def _set_root(self, depth: int) -> None:
        """Make the last node that was written the root."""
        last = self._next - 1
        if last == _ROOT:
            return
        self._base.execute(_ROOT_OF[depth > 0].format(self._name), (_ROOT, last))
        ((data,),) = self._base.execute(_DATA_OF.format(self._name), (last,)).fetchall()
        self._base.execute(_ROOT_DATA.format(self._name), (depth.to_bytes(2, "big") + data[2:], _ROOT))
        self._base.execute(_DROP.format(self._name), (last,))


def _outward(places: NDArray[np.float64]) -> NDArray[np.float32]:
    """Return boxes (n, 4) of least and greatest x and y in float32 that hold them."""
    found = places.astype(np.float32)
    for column, way in ((0, -1.0), (1, 1.0), (2, -1.0), (3, 1.0)):
        short = (found[:, column] - places[:, column]) * way < 0.0
        found[short, column] = np.nextafter(found[short, column], np.float32(way * np.inf))
    return found


def _declare(base: sqlite3.Connection, layer: Layer) -> str:
    """Make the empty index of a layer as GDAL makes it, and return its name."""
    with tempfile.TemporaryDirectory(prefix="taskdata-") as folder:
        path = Path(folder) / "empty.gpkg"
        write_layer(path, Layer(layer.spec, layer.schema.empty_table()), "GPKG")
        with closing(sqlite3.connect(path)) as empty:
            ((table, column, *rest),) = empty.execute(_EXTENSION, (layer.name,)).fetchall()
            name = f"rtree_{table}_{column}"
            made = [sql for (sql,) in empty.execute(_MADE, (name,))]
            ((extensions,),) = empty.execute(_EXTENSIONS).fetchall()
    if not base.execute(_EXTENSIONS).fetchall():
        base.execute(extensions)
    base.execute("INSERT INTO gpkg_extensions VALUES (?, ?, ?, ?, ?)", (table, column, *rest))
    for sql in made:
        base.execute(sql)
    return name


@cache
def _can_be_filled() -> bool:
    """Tell whether the SQLite at hand has R-trees of such nodes and lets their tables be filled."""
    with closing(sqlite3.connect(":memory:")) as base:
        try:
            base.execute("CREATE VIRTUAL TABLE tree USING rtree(id, minx, maxx, miny, maxy)")
            base.execute("INSERT INTO tree_rowid VALUES (1, 1)")
            ((size,),) = base.execute("SELECT length(data) FROM tree_node").fetchall()
        except sqlite3.Error:
            return False
    return bool(size == _NODE.itemsize)

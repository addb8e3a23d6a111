"""What is written, against the lists of requirements: OGC 12-128r19 (GeoPackage 1.4) and GeoParquet 1.1.0.

A row is a requirement: its number or section, what it asks, and how it is checked, by sqlite3, pyarrow and shapely
alone. Numbers and wording are from memory of the documents, shortened; each is asked of every file that samples become.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest
import shapely

import taskdata
from tests import samples

SOURCES = {"office": samples.OFFICE, "machine": samples.MACHINE, "older": samples.OLDER}
GEOMETRIES = [
    "GEOMETRY",
    "POINT",
    "LINESTRING",
    "POLYGON",
    "MULTIPOINT",
    "MULTILINESTRING",
    "MULTIPOLYGON",
    "GEOMETRYCOLLECTION",
]
TYPES = re.compile(
    r"BOOLEAN|TINYINT|SMALLINT|MEDIUMINT|INT|INTEGER|FLOAT|DOUBLE|REAL|(TEXT|BLOB)(\(\d+\))?|DATE|DATETIME|JSON|"
    + "|".join(GEOMETRIES)
)
STAMP = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")


class Base:
    """A GeoPackage under its requirements."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.connection = sqlite3.connect(path)

    def rows(self, query: str) -> list[Any]:
        return self.connection.execute(query).fetchall()

    def column(self, query: str) -> set[Any]:
        return {row[0] for row in self.rows(query)}

    def columns(self, table: str) -> dict[str, tuple[str, int, int]]:
        """Type, NOT NULL and place in the primary key of each column."""
        return {row[1]: (row[2], row[3], row[5]) for row in self.rows(f'PRAGMA table_info("{table}")')}

    def tables(self, kind: str) -> set[str]:
        return self.column(f"SELECT table_name FROM gpkg_contents WHERE data_type = '{kind}'")  # noqa: S608  # our own words

    def shapes(self) -> Iterator[tuple[str, int, bytes]]:
        """Geometry type and system of a column, with each of its blobs."""
        for table, column, kind, system in self.rows(
            "SELECT table_name, column_name, geometry_type_name, srs_id FROM gpkg_geometry_columns"
        ):
            for (blob,) in self.rows(f'SELECT "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL'):  # noqa: S608
                yield kind, system, blob


def body(blob: bytes) -> Any:
    """Return the geometry of a blob, behind its header and the box that its flags tell of (2.1.3)."""
    return shapely.from_wkb(blob[8 + (0, 32, 48, 48, 64)[blob[3] >> 1 & 7] :])


def has_columns(table: str, *columns: str) -> Callable[[Base], bool]:
    return lambda base: set(columns) <= set(base.columns(table))


def fits(kind: str, shape: Any) -> bool:
    """Tell whether a geometry may stand in a column of a type (annex G)."""
    own = shape.geom_type.upper()
    return kind in {"GEOMETRY", own} or (kind == "GEOMETRYCOLLECTION" and own.startswith("MULTI"))


@dataclass(frozen=True)
class Row:
    """A requirement."""

    number: str
    asks: str
    holds: Callable[[Any], object]


GEOPACKAGE = (
    Row("1", "a SQLite 3 file", lambda it: it.path.read_bytes()[:16] == b"SQLite format 3\0"),
    Row("2", "application id GPKG", lambda it: it.rows("PRAGMA application_id") == [(0x47504B47,)]),
    Row("2", "the version as 1MMPP", lambda it: it.rows("PRAGMA user_version")[0][0] in {10200, 10201, 10300, 10400}),
    Row("3", "called .gpkg", lambda it: it.path.suffix == ".gpkg"),
    Row(
        "5",
        "columns of known types",
        lambda it: all(
            TYPES.fullmatch(kind)
            for name in it.column("SELECT table_name FROM gpkg_contents")
            for kind, _, _ in it.columns(name).values()
        ),
    ),
    Row("6", "integrity", lambda it: it.rows("PRAGMA integrity_check") == [("ok",)]),
    Row("7", "foreign keys", lambda it: it.rows("PRAGMA foreign_key_check") == []),
    Row(
        "10",
        "a table of systems",
        has_columns(
            "gpkg_spatial_ref_sys",
            "srs_name",
            "srs_id",
            "organization",
            "organization_coordsys_id",
            "definition",
            "description",
        ),
    ),
    Row(
        "11",
        "WGS 84 and the two that are undefined",
        lambda it: (
            {("EPSG", 4326, 4326), ("NONE", -1, -1), ("NONE", 0, 0)}
            <= {
                (name.upper(), own, number)
                for name, own, number in it.rows(
                    "SELECT organization, organization_coordsys_id, srs_id FROM gpkg_spatial_ref_sys"
                )
            }
        ),
    ),
    Row(
        "12",
        "every system that is used",
        lambda it: (
            it.column("SELECT srs_id FROM gpkg_geometry_columns")
            <= it.column("SELECT srs_id FROM gpkg_spatial_ref_sys")
        ),
    ),
    Row(
        "13",
        "a table of contents",
        has_columns(
            "gpkg_contents",
            *[
                "table_name",
                "data_type",
                "identifier",
                "description",
                "last_change",
                "min_x",
                "min_y",
                "max_x",
                "max_y",
                "srs_id",
            ],
        ),
    ),
    Row(
        "14",
        "a table for each of the contents",
        lambda it: (
            it.column("SELECT table_name FROM gpkg_contents")
            <= it.column("SELECT name FROM sqlite_master WHERE type IN ('table', 'view')")
        ),
    ),
    Row(
        "15",
        "the last change as a stamp",
        lambda it: all(map(STAMP.fullmatch, it.column("SELECT last_change FROM gpkg_contents"))),
    ),
    Row(
        "16",
        "systems of contents that are there",
        lambda it: (
            it.column("SELECT srs_id FROM gpkg_contents WHERE srs_id IS NOT NULL")
            <= it.column("SELECT srs_id FROM gpkg_spatial_ref_sys")
        ),
    ),
    Row("18", "features among the contents", lambda it: it.tables("features")),
    Row(
        "19",
        "geometries as GP blobs of version 0",
        lambda it: all(blob[:3] == b"GP\0" and not blob[3] & 0xC0 for _, _, blob in it.shapes()),
    ),
    Row(
        "20",
        "geometries of the core types",
        lambda it: all(body(blob).geom_type.upper() in GEOMETRIES for *_, blob in it.shapes()),
    ),
    Row(
        "21",
        "a table of geometry columns",
        has_columns("gpkg_geometry_columns", *["table_name", "column_name", "geometry_type_name", "srs_id", "z", "m"]),
    ),
    Row(
        "22, 23",
        "a geometry column for each table of features, and no other",
        lambda it: it.column("SELECT table_name FROM gpkg_geometry_columns") == it.tables("features"),
    ),
    Row(
        "24, 31",
        "columns that are there, of that type",
        lambda it: all(
            it.columns(table)[column][0] == kind
            for table, column, kind in it.rows(
                "SELECT table_name, column_name, geometry_type_name FROM gpkg_geometry_columns"
            )
        ),
    ),
    Row(
        "25",
        "names of types in capitals",
        lambda it: it.column("SELECT geometry_type_name FROM gpkg_geometry_columns") <= set(GEOMETRIES),
    ),
    Row(
        "26, 146",
        "the system of the contents",
        lambda it: (
            it.rows(
                "SELECT * FROM gpkg_geometry_columns g JOIN gpkg_contents c USING (table_name) "
                "WHERE g.srs_id != c.srs_id"
            )
            == []
        ),
    ),
    Row(
        "27, 28",
        "z and m of 0 to 2",
        lambda it: it.column("SELECT z + 10 * m FROM gpkg_geometry_columns") <= {0, 1, 2, 10, 11, 12, 20, 21, 22},
    ),
    Row(
        "29, 119",
        "a whole number as the primary key of each table",
        lambda it: all(
            [kind for kind, _, place in it.columns(table).values() if place] == ["INTEGER"]
            for table in it.tables("features") | it.tables("attributes")
        ),
    ),
    Row(
        "30",
        "one geometry column",
        lambda it: all(
            sum(kind in GEOMETRIES for kind, _, _ in it.columns(table).values()) == 1 for table in it.tables("features")
        ),
    ),
    Row(
        "32",
        "geometries of the type of their column",
        lambda it: all(fits(kind, body(blob)) for kind, _, blob in it.shapes()),
    ),
    Row(
        "33",
        "geometries in the system of their column",
        lambda it: all(
            int.from_bytes(blob[4:8], "little" if blob[3] & 1 else "big", signed=True) == system
            for _, system, blob in it.shapes()
        ),
    ),
    Row(
        "58, 77",
        "an index of places named as an extension",
        lambda it: (
            it.column("SELECT table_name FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index'")
            == it.tables("features")
        ),
    ),
    Row(
        "75",
        "an index that holds every geometry",
        lambda it: all(
            it.rows(f'SELECT count(*) FROM "rtree_{table}_{column}"')  # noqa: S608
            == it.rows(f'SELECT count(*) FROM "{table}" WHERE NOT coalesce(ST_IsEmpty("{column}"), 1)')  # noqa: S608
            for table, column in it.rows("SELECT table_name, column_name FROM gpkg_geometry_columns")
        ),
    ),
    Row(
        "118",
        "tables without geometry among the contents",
        lambda it: {"carried_elements", "carried_files"} <= it.tables("attributes"),
    ),
)


class Columns:
    """A GeoParquet file under its requirements."""

    def __init__(self, path: Path) -> None:
        self.file = pq.ParquetFile(path)
        self.schema = self.file.schema_arrow
        self.geo = json.loads(self.schema.metadata[b"geo"])
        self.table = self.file.read()

    def each(self) -> Iterator[tuple[str, dict[str, Any], Any]]:
        """Name, description and geometries of each column."""
        for name, said in self.geo["columns"].items():
            yield name, said, shapely.from_wkb([item for item in self.table[name].to_pylist() if item is not None])

    def every(self, holds: Callable[[dict[str, Any], Any], object]) -> bool:
        return all(holds(said, shapes) for _, said, shapes in self.each())


def kinds(shapes: Any) -> set[str]:
    return {shape.geom_type + (" Z" if shape.has_z else "") for shape in shapes}


def turns_left(shape: Any) -> bool:
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and not part.is_empty]
    return all(part.exterior.is_ccw and not any(ring.is_ccw for ring in part.interiors) for part in parts)


GEOPARQUET = (
    Row("file metadata", "version 1.1.0", lambda it: it.geo["version"] == "1.1.0"),
    Row(
        "file metadata", "a primary column among the columns", lambda it: it.geo["primary_column"] in it.geo["columns"]
    ),
    Row("geometry columns", "at the root of the schema", lambda it: set(it.geo["columns"]) <= set(it.schema.names)),
    Row(
        "geometry columns",
        "bytes, not repeated",
        lambda it: all(
            it.file.schema.column(at).physical_type == "BYTE_ARRAY"
            and it.file.schema.column(at).max_repetition_level == 0
            for at in range(len(it.file.schema))
            if it.file.schema.column(at).path in it.geo["columns"]
        ),
    ),
    Row("encoding", "WKB that shapely reads", lambda it: it.every(lambda said, _: said["encoding"] == "WKB")),
    Row(
        "geometry_types",
        "each once, and all that are there",
        lambda it: it.every(
            lambda said, shapes: (
                len(set(said["geometry_types"])) == len(said["geometry_types"])
                and (not said["geometry_types"] or kinds(shapes) <= set(said["geometry_types"]))
            )
        ),
    ),
    Row(
        "crs",
        "PROJJSON, or left out",
        lambda it: it.every(lambda said, _: {"type", "name", "id"} <= set(said.get("crs", {"type", "name", "id"}))),
    ),
    Row(
        "orientation",
        "counterclockwise and so",
        lambda it: it.every(
            lambda said, shapes: said.get("orientation") != "counterclockwise" or all(map(turns_left, shapes))
        ),
    ),
    Row(
        "edges",
        "planar or spherical",
        lambda it: it.every(lambda said, _: said.get("edges", "planar") in {"planar", "spherical"}),
    ),
    Row(
        "bbox",
        "the box of all",
        lambda it: it.every(
            lambda said, shapes: (
                "bbox" not in said
                or said["bbox"][:2] + said["bbox"][-2:] == shapely.total_bounds(shapes).tolist()
                or len(said["bbox"]) == 6
            )
        ),
    ),
    Row(
        "coordinate axis order",
        "longitude first",
        lambda it: it.every(lambda _, shapes: not len(shapes) or abs(shapely.total_bounds(shapes)[0] - 7) < 1),
    ),
)


@pytest.fixture(scope="module", params=SOURCES)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp(request.param)
    for target, form in (("farm.gpkg", "gpkg"), ("layers", "parquet")):
        taskdata.convert(SOURCES[request.param], home / target, to=form)
    return home


def test_geopackages_meet_the_requirements(written: Path) -> None:
    base = Base(written / "farm.gpkg")
    base.connection.create_function("ST_IsEmpty", 1, lambda blob: None if blob is None else int(body(blob).is_empty))
    with closing(base.connection):
        assert [f"{row.number}: {row.asks}" for row in GEOPACKAGE if not row.holds(base)] == []


def test_geoparquet_meets_the_requirements(written: Path) -> None:
    files = [
        path
        for path in sorted((written / "layers").glob("*.parquet"))
        if b"geo" in (pq.read_schema(path).metadata or {})
    ]
    assert len(files) > 3
    for path in files:
        columns = Columns(path)
        assert [f"{path.name} {row.number}: {row.asks}" for row in GEOPARQUET if not row.holds(columns)] == []


SPOILED = {
    "2": "PRAGMA application_id = 7",
    "5": "ALTER TABLE fields ADD COLUMN x VARCHAR",
    "11": "DELETE FROM gpkg_spatial_ref_sys WHERE srs_id = -1",
    "14": "DROP TABLE carried_files",
    "15": "UPDATE gpkg_contents SET last_change = '2024-04-18'",
    "19": "UPDATE points SET geom = CAST(X'47500140' || geom AS BLOB)",
    "25": "UPDATE gpkg_geometry_columns SET geometry_type_name = 'Polygon' WHERE table_name = 'fields'",
    "26, 146": "UPDATE gpkg_geometry_columns SET srs_id = 0 WHERE table_name = 'fields'",
    "32": "UPDATE gpkg_geometry_columns SET geometry_type_name = 'POINT' WHERE table_name = 'fields'",
    "75": "DELETE FROM rtree_fields_geom",
}
"""What breaks a requirement."""


@pytest.mark.parametrize("number", SPOILED)
def test_a_requirement_that_is_not_met_is_noticed(number: str, tmp_path: Path) -> None:
    taskdata.convert(samples.OLDER, tmp_path / "farm.gpkg")
    base = Base(tmp_path / "farm.gpkg")
    base.connection.create_function("ST_IsEmpty", 1, lambda blob: None if blob is None else int(body(blob).is_empty))
    with closing(base.connection):
        for name in base.column("SELECT name FROM sqlite_master WHERE type = 'trigger'"):
            base.connection.execute(f'DROP TRIGGER "{name}"')
        base.connection.execute(SPOILED[number])
        rows = [row for row in GEOPACKAGE if row.number == number]
        assert not all(row.holds(base) for row in rows)

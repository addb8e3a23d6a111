"""GeoParquet against the specification 1.1.0 (OGC GeoParquet), read by pyarrow and json."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import shapely

from taskdata.errors import SourceError, UsageError
from taskdata.formats.plain import plain
from taskdata.formats.read import read
from tests.formats.exchange import put
from tests.formats.valley import carried, dataset


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return put(dataset(), "parquet", tmp_path_factory.mktemp("parquet"), carried())[0]


def meta(path: Path) -> dict[str, Any]:
    return dict(json.loads(pq.read_schema(path).metadata[b"geo"]))


def save(path: Path, geometry: Any, column: dict[str, Any]) -> None:
    table = pa.table({"geom": pa.array([shapely.to_wkb(geometry)]), "name": pa.array(["Mitte"])})
    geo = {"version": "1.1.0", "primary_column": "geom", "columns": {"geom": {"encoding": "WKB"} | column}}
    pq.write_table(table.replace_schema_metadata({"geo": json.dumps(geo)}), path)


def test_metadata(folder: Path) -> None:
    """Sections "File metadata" and "Column metadata"."""
    geo = meta(folder / "fields.parquet")
    assert (geo["version"], geo["primary_column"]) == ("1.1.0", "geometry")
    column = geo["columns"]["geometry"]
    assert column["encoding"] == "WKB"
    assert column["geometry_types"] == ["MultiPolygon"]
    assert column["orientation"] == "counterclockwise"
    assert column["crs"]["id"] == {"authority": "OGC", "code": "CRS84"}
    assert meta(folder / "guidance_lines.parquet")["columns"]["geometry"]["geometry_types"] == [
        "LineString",
        "MultiLineString",
    ]


def test_the_box_holds_all_and_no_more(folder: Path) -> None:
    table = pq.read_table(folder / "fields.parquet")
    shapes = shapely.from_wkb(table["geometry"].to_pylist())
    assert meta(folder / "fields.parquet")["columns"]["geometry"]["bbox"] == shapely.total_bounds(shapes).tolist()


def test_side_tables_are_plain(folder: Path) -> None:
    assert b"geo" not in (pq.read_schema(folder / "carried_files.parquet").metadata or {})


def test_a_missing_system_is_wgs84_and_null_is_unknown(tmp_path: Path) -> None:
    """Section "crs": without the key OGC:CRS84, with null not known."""
    save(tmp_path / "a.parquet", shapely.Point(9, 52), {})
    assert read(tmp_path).findings == []
    save(tmp_path / "a.parquet", shapely.Point(9, 52), {"crs": None})
    assert [finding.rule.id for finding in read(tmp_path).findings] == ["import.crs-assumed"]
    save(tmp_path / "a.parquet", shapely.Point(5e5, 5.8e6), {"crs": None})
    with pytest.raises(UsageError, match="--crs"):
        read(tmp_path)
    point = plain(read(tmp_path, crs="EPSG:32632")).points[0]
    assert (point.name, point.lon) == ("Mitte", pytest.approx(9.0, abs=1e-12))


def test_another_encoding_is_refused(tmp_path: Path) -> None:
    save(tmp_path / "a.parquet", shapely.Point(9, 52), {"encoding": "point"})
    with pytest.raises(SourceError, match="encoding WKB"):
        read(tmp_path)


@pytest.mark.parametrize("content", [b"", b"PAR1", b"PAR1" + b"x" * 100 + b"PAR1"])
def test_a_damaged_file_is_one_line(content: bytes, tmp_path: Path) -> None:
    file = tmp_path / "bad.parquet"
    file.write_bytes(content)
    with pytest.raises(SourceError, match=r"bad\.parquet") as caught:
        read(file)
    assert "\n" not in str(caught.value)

"""A set or layer with nothing in it is a result, in every format, and comes back as one."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pyogrio
import pytest

import taskdata
from taskdata.file_formats.table import format_named
from taskdata.model.dataset import Dataset
from tests.formats.exchange import FORMATS

ROOT = '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1"/>'
NOTHING = pa.table({"name": pa.array([], pa.string()), "geometry": pa.array([], pa.binary())})
COLUMN = {"encoding": "WKB", "geometry_types": []}
GEO = json.dumps({"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": COLUMN}})
TARGETS = ["set/TASKDATA", "set.zip", *(f"layers{format_named(form).suffix}" for form in FORMATS)]


def by_gdal(driver: str) -> Callable[[Path], None]:
    """Write an empty layer of polygons, as GDAL does."""
    return lambda path: pyogrio.write_arrow(
        NOTHING, path, driver=driver, geometry_name="geometry", geometry_type="Polygon", crs="EPSG:4326"
    )


def without_tables(path: Path) -> None:
    """Write a GeoPackage in which there is no table (OGC 12-128r19, 1.1.3: the contents may be none)."""
    by_gdal("GPKG")(path)
    with closing(sqlite3.connect(path)) as base, base:
        for table in ("gpkg_contents", "gpkg_geometry_columns", "gpkg_ogr_contents"):
            base.execute(f"DELETE FROM {table}")  # noqa: S608  # names of the standard
        base.execute(f"DROP TABLE {path.stem}")


SOURCES: dict[str, Callable[[Path], object]] = {
    "TASKDATA.XML": lambda path: path.write_text(ROOT),
    "a.geojson": lambda path: path.write_text('{"type":"FeatureCollection","features":[]}'),
    "b.shp": by_gdal("ESRI Shapefile"),
    "c.gpkg": by_gdal("GPKG"),
    "d.gpkg": without_tables,
    "f.fgb": by_gdal("FlatGeobuf"),
    "e.parquet": lambda path: pq.write_table(NOTHING.replace_schema_metadata({b"geo": GEO.encode()}), path),
}


@pytest.mark.parametrize("target", TARGETS)
@pytest.mark.parametrize("name", SOURCES)
def test_nothing_is_converted_and_read_back(tmp_path: Path, name: str, target: str) -> None:
    SOURCES[name](tmp_path / name)
    result = taskdata.convert(tmp_path / name, tmp_path / target, verify=True)
    assert set(result.written.values()) == {0}


@pytest.mark.parametrize("form", FORMATS)
def test_a_set_without_layers_comes_back_from_a_folder(tmp_path: Path, form: str) -> None:
    root = ROOT.replace("/>", '><AFE A="NOTES.TXT" B="1" C="" D="1"/></ISO11783_TaskData>')
    (tmp_path / "TASKDATA.XML").write_text(root, encoding="utf-8")
    (tmp_path / "NOTES.TXT").write_bytes(b"Nur ein Satz")
    target = tmp_path / ("out.gpkg" if form == "gpkg" else "out")
    taskdata.convert(tmp_path / "TASKDATA.XML", target, to=form, verify=True)
    taskdata.convert(target, tmp_path / "back", to="isoxml")
    assert (tmp_path / "back" / "TASKDATA" / "NOTES.TXT").read_bytes() == b"Nur ein Satz"
    back = taskdata.read(tmp_path / target)
    assert (back.fields, back.tasks, back.areas, back.lines, back.points) == ((), (), (), (), ())
    assert not [item for item in back.findings if item.rule.id.startswith("import.")]


@pytest.mark.parametrize("target", TARGETS)
def test_nothing_is_written_from_python(tmp_path: Path, target: str) -> None:
    taskdata.write(Dataset("nothing", "isoxml"), tmp_path / target, verify=True)
    assert taskdata.read(tmp_path / target).fields == ()


def test_a_geopackage_that_another_program_still_writes_is_not_called_empty(tmp_path: Path) -> None:
    without_tables(tmp_path / "a.gpkg")
    (tmp_path / "a.gpkg-wal").write_bytes(b"not yet in the file")
    with pytest.raises(taskdata.SourceError, match="The GeoPackage cannot be read"):
        taskdata.read(tmp_path / "a.gpkg")

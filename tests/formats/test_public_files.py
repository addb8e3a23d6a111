"""Public test files of general-purpose readers: each has as many rows as another reader counts in it.

Sources: see ``public/README.md``; and the fixtures that pyogrio is installed with.
"""

from __future__ import annotations

import json
import sqlite3
import warnings
from collections.abc import Callable
from contextlib import closing
from importlib.resources import files
from pathlib import Path
from zipfile import ZipFile

import pyarrow.parquet as pq
import pytest
import shapefile
import shapely
from lxml import etree

import taskdata
from taskdata.cli import main
from taskdata.formats.read import raw_layers

PUBLIC = Path(__file__).parent / "public"
FIXTURES = Path(str(files("pyogrio"))) / "tests" / "fixtures"


def of_shapefile(path: Path) -> int:
    """Rows as pyshp counts them."""
    with warnings.catch_warnings():  # one of its files is too long on purpose
        warnings.simplefilter("ignore", shapefile.PossiblyCorruptFileHeader)
        with shapefile.Reader(str(path), encodingErrors="replace") as layer:
            return len(layer)


def of_geopackage(path: Path) -> int:
    """Rows of the feature tables, by SQLite."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)) as base:
        tables = base.execute("SELECT table_name FROM gpkg_contents WHERE data_type = 'features'").fetchall()
        return sum(base.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for (name,) in tables)  # noqa: S608  # names of a fixture


def of_geojson(path: Path) -> int:
    """Features of the document."""
    return len(json.loads(path.read_text(encoding="utf-8"))["features"])


def of_kml(path: Path) -> int:
    """Placemarks, by lxml."""
    return len(etree.parse(path).xpath("//*[local-name()='Placemark']"))


COUNTS: dict[str, Callable[[Path], int]] = {
    ".shp": of_shapefile,
    ".gpkg": of_geopackage,
    ".geojson": of_geojson,
    ".kml": of_kml,
    ".parquet": lambda path: pq.read_metadata(path).num_rows,
}
FILES = sorted(
    path for home in (PUBLIC, FIXTURES) for path in home.rglob("*") if path.suffix in {*COUNTS, ".gpx", ".zip"}
)
LAYERS = [path for path in FILES if path.suffix in COUNTS]
TRACKS = [path for path in FILES if path.suffix == ".gpx"]


def test_there_are_files_of_each_format() -> None:
    assert {path.suffix for path in FILES} == {*COUNTS, ".gpx", ".zip"}
    assert len(FILES) > 25


@pytest.mark.parametrize("path", LAYERS, ids=lambda path: path.name)
def test_layers_have_as_many_rows_as_their_own_reader_counts(path: Path) -> None:
    assert sum(item.table.num_rows for item in raw_layers(path).tables.values()) == COUNTS[path.suffix](path)


@pytest.mark.parametrize("path", TRACKS, ids=lambda path: path.name)
def test_tracks_have_as_many_positions_as_their_file(path: Path) -> None:
    """One position without a time is no line and no log; points of routes are points too, and not counted twice."""
    root = etree.parse(path).getroot()
    parts = root.xpath("//*[local-name()='rte' or local-name()='trkseg']")
    inside = [part.xpath("*[local-name()='rtept' or local-name()='trkpt']") for part in parts]
    timed = [bool(part.xpath("*/*[local-name()='time']")) for part in parts]
    drawn = sum(len(points) for points, known in zip(inside, timed, strict=True) if len(points) > 1 or known)
    found = [item for name, item in raw_layers(path).tables.items() if name != "route_points"]
    shapes = [shape for item in found for shape in shapely.from_wkb(item.table["geometry"].to_pylist())]
    assert sum(shapely.get_num_coordinates(shapes)) == drawn + len(root.xpath("//*[local-name()='wpt']"))


def test_an_archive_of_a_shapefile_counts_as_the_shapefile_in_it(tmp_path: Path) -> None:
    archive = PUBLIC / "pyshp" / "blockgroups.zip"
    with ZipFile(archive) as packed:
        packed.extractall(tmp_path)
    (layer,) = tmp_path.rglob("*.shp")
    assert len(taskdata.read(archive).fields) == of_shapefile(layer) == 663


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_the_command_says_what_is_in_it_without_a_traceback(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["inspect", str(path)])
    told = capsys.readouterr()
    assert (ended.value.code or 0) in {0, 1, 2, 3}
    assert told.out or len(told.err.strip().splitlines()) == 1

"""The committed descriptions of layers are those that the columns make; sources are told by content."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from taskdata.formats import layer_descriptions
from taskdata.formats.detect import detect
from tests.formats.exchange import FORMATS, put
from tests.formats.valley import carried, dataset

SCHEMAS = Path(__file__).parents[2] / "schemas"


@pytest.mark.parametrize("name", [layer_descriptions.GEOJSON_SCHEMA, layer_descriptions.SIDECAR_SCHEMA, "README.md"])
def test_they_are_up_to_date(name: str, tmp_path: Path) -> None:
    shutil.copy(SCHEMAS / "README.md", tmp_path)
    layer_descriptions.write(tmp_path)
    assert (tmp_path / name).read_text(encoding="utf-8") == (SCHEMAS / name).read_text(encoding="utf-8")


def test_schemas_are_schemas() -> None:
    for schema in (layer_descriptions.geojson_schema(), layer_descriptions.sidecar_schema()):
        Draft202012Validator.check_schema(schema)


def test_the_page_keeps_what_stands_around_the_tables() -> None:
    once = layer_descriptions.readme("# Schemas\n\nBefore.\n") + "After.\n"
    assert layer_descriptions.readme(once) == once
    assert once.startswith("# Schemas\n\nBefore.\n")


@pytest.mark.parametrize("form", FORMATS)
def test_a_source_is_told_by_content(form: str, tmp_path: Path) -> None:
    path, _ = put(dataset(), form, tmp_path, carried())
    assert detect(path) == form
    file = path if path.is_file() else next(item for item in path.iterdir() if detect(item) == form)
    other = tmp_path / "other.data"
    shutil.copy(file, other)
    assert detect(other) == form


@pytest.mark.parametrize(
    ("name", "content", "form"),
    [
        ("a.json", b'\xef\xbb\xbf {"type" : "Feature"}', "geojson"),
        ("a.json", b'{"type": "wheat"}', None),
        ("a.txt", b"", None),
        ("a.shp", b"", "shapefile"),
        ("a.gpkg", b"", "gpkg"),
        ("a.db", b"SQLite format 3\0" + b"\0" * 100, None),
        ("a.parquet", b"", "parquet"),
        ("TASKDATA.XML", b"<?xml version='1.0'?>", None),
    ],
)
def test_odd_files(name: str, content: bytes, form: str | None, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(content)
    assert detect(tmp_path / name) == form
    assert detect(tmp_path / "missing") is None


def test_pandas_is_not_needed() -> None:
    code = (
        "import sys; sys.modules['pandas'] = None; sys.modules['geopandas'] = None\n"
        "from taskdata.formats import registry\n"
        "for name in sys.argv[1:]: registry.writer(name), registry.reader(name)"
    )
    assert subprocess.run([sys.executable, "-c", code, *FORMATS], check=True, capture_output=True).stdout == b""


def test_the_example_in_the_page_is_json() -> None:
    assert json.loads((SCHEMAS / layer_descriptions.GEOJSON_SCHEMA).read_text(encoding="utf-8"))["oneOf"]

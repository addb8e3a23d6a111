"""What a person says of items: patterns of paths, options, and the mapping file."""

from __future__ import annotations

import json
from pathlib import Path

import pyarrow as pa
import pytest

from taskdata.errors import UsageError
from taskdata.formats.base import RawTable, Tables, item_paths
from taskdata.formats.foreign.mapping import SCHEMA, mapping_schema, read_mapping
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.patterns import fits
from taskdata.resources import schema_bytes
from taskdata.results.survey import ColumnRole, ItemKind

TEXT = """
[[item]]
file = "*.shp"
role = "guidance"
columns = { name = ["FARM", "LINE"], spacing = "W_CM" }
units = { spacing = "cm" }

[[item]]
file = "old/lines.shp"
crs = "EPSG:25832"
encoding = "cp1252"
columns = { name = "BEZ" }
"""


@pytest.mark.parametrize(
    ("pattern", "path", "meant"),
    [
        ("*.csv", "stick/log.CSV", True),
        ("lines.shp", "old.zip/2023/Lines.shp", True),
        ("2023/*.shp", "old.zip/2023/lines.shp", True),
        ("OLD.zip", "stick/old.zip/2023/lines.shp", True),
        ("farm.gpkg/lines", "stick/farm.gpkg/lines", True),
        ("stick\\old*", "stick/old.zip/lines.shp", True),
        ("./old/", "old/lines.shp", True),
        ("lines (1) [a].shp", "x/lines (1) [a].shp", True),
        ("line.shp", "lines.shp", False),
        ("/lines.shp", "lines.shp", True),
        ("/old", "old/lines.shp", True),
        ("/lines.shp", "old/lines.shp", False),
        ("*.shp", "lines.shp.csv", False),
    ],
)
def test_patterns_fit_paths_their_ends_and_what_they_lie_in(pattern: str, path: str, *, meant: bool) -> None:
    assert fits(pattern, path) is meant


def test_what_is_said_is_put_together(tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text(TEXT, encoding="utf-8")
    options = TakeOptions.of({"mapping": tmp_path / "farm.toml", "roles": {"old/*": "line"}, "columns": {"crop": "K"}})
    said = options.said_of("stick/old/lines.shp")
    assert (said.kind, said.crs, said.encoding) == (ItemKind.LINE, "EPSG:25832", "cp1252")
    assert said.columns == {ColumnRole.NAME: ("BEZ",), ColumnRole.WIDTH: ("W_CM",), ColumnRole.CROP: ("K",)}
    assert said.units == {ColumnRole.WIDTH: "cm"}
    other = options.said_of("new/lines.shp", ["farm", "Line", "w_cm"])
    assert (other.kind, other.crs) == (ItemKind.GUIDANCE, None)
    assert other.columns == {ColumnRole.NAME: ("farm", "Line"), ColumnRole.WIDTH: ("w_cm",)}
    assert options.said_of("log.csv").kind is None


def test_a_column_that_an_item_lacks_leaves_what_else_was_said_of_it(tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text(TEXT, encoding="utf-8")
    options = TakeOptions.of({"mapping": tmp_path / "farm.toml", "columns": {"name": "Titel"}, "name_column": "X"})
    assert options.said_of("old/lines.shp", ["BEZ", "bez"]).columns[ColumnRole.NAME] == ("BEZ",)
    assert options.said_of("old/lines.shp", ["BEZ", "TITEL"]).columns[ColumnRole.NAME] == ("TITEL",)
    assert ColumnRole.NAME not in options.said_of("a.csv", ["BEZ"]).columns


def test_what_fits_nothing_is_named(tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text(TEXT, encoding="utf-8")
    options = TakeOptions.of({"mapping": tmp_path / "farm.toml", "roles": {"*.csv": "log", "*.shp": "line"}})
    assert list(options.unfitting(["a/lines.shp"])) == [
        "the pattern '*.csv'",
        "entry 2 of farm.toml (old/lines.shp)",
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[item]]\nrole = 'field'", "entry 1 has no file"),
        (
            "[[item]]\nfile = 'a'\n[[item]]\nfile = 'b'\nrole = 'shed'",
            'role of entry 2 (b) is "shed" and should be one',
        ),
        ("[[item]]\nfile = 'a'\ncolumns = { colour = 'x' }", "entry 1 (a) has columns.colour, which is none of name"),
        ("[[item]]\nfile = 'a'\ncolumns = { name = 3 }", "columns.name of entry 1 (a) is 3 and should be a text, or"),
        ("[[item]]\nfile = 'a'\nunits = 'cm'", 'units of entry 1 (a) is "cm" and should be a table'),
        ("[[item]]\nfile = 'a'\nrole = 'taskdata'", "should be one of field"),
        ("[[item]]\nfile = ''", 'file of entry 1 () is "" and should be a text'),
        ("item = 3", "it is not a list of tables called item"),
        ("", "it is not a list of tables called item"),
        ("[item", "is not a mapping file"),
        ("[[item]]\nfile = 'a'\ncrs = 'EPSG:1'", "entry 1 of farm.toml (a): crs 'EPSG:1' is not known"),
        ("[[item]]\nfile = 'a'\nencoding = 'klingon'", "entry 1 of farm.toml (a): there is no encoding 'klingon'"),
        ("[[item]]\nfile = 'a'\nencoding = 'hex'", "entry 1 of farm.toml (a): there is no encoding 'hex'"),
    ],
)
def test_a_fault_is_one_line_with_the_entry(text: str, words: str, tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    with pytest.raises(UsageError) as failure:
        read_mapping(tmp_path / "farm.toml")
    assert words in str(failure.value)
    assert "\n" not in str(failure.value)


def test_a_missing_file_and_an_unknown_word_are_wrong_usage(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is not a mapping file"):
        read_mapping(tmp_path / "none.toml")
    for given in ({"roles": {"a": "taskdata"}}, {"roles": {"a": "shed"}}, {"columns": {"colour": "a"}}):
        with pytest.raises(UsageError, match="does not say"):
            TakeOptions.of(given)  # type: ignore[arg-type]
    assert TakeOptions.of({"columns": {"Spacing": "w"}}).columns == {ColumnRole.WIDTH: "w"}


def test_the_schema_is_that_of_the_program() -> None:
    assert json.loads(schema_bytes(SCHEMA)) == mapping_schema()


def test_layers_have_the_path_of_their_file_and_their_own_name_where_there_are_several() -> None:
    found = Tables()
    for name, file in (("a", "old/a.shp"), ("a", "new/a.shp"), ("way", "f.kml"), ("way", "g.kml"), ("pos", "g.kml")):
        found.add(RawTable(name, file, pa.table({})))
    found.add(RawTable("only", "farm.gpkg", pa.table({})))
    assert list(item_paths(found.tables).values()) == [
        "old/a.shp",
        "new/a.shp",
        "f.kml",
        "g.kml/way",
        "g.kml/pos",
        "farm.gpkg/only",
    ]

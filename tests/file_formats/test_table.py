"""Each format is declared once, and all that is said or done of formats follows from it."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from importlib import import_module
from pathlib import Path

import pytest

from taskdata.errors import SourceError, UsageError
from taskdata.exchange.load import load
from taskdata.exchange.targets import target_of
from taskdata.file_formats import pages, table
from taskdata.file_formats.contents import begins_with
from taskdata.file_formats.declaration import Format
from taskdata.file_formats.table import FORMATS, formats_of_layers, listed, readable, writable_names
from taskdata.formats import drivers
from taskdata.formats.detect import detect
from taskdata.formats.read import read
from tests import samples

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "taskdata"
HEAVY = {"lxml", "numpy", "shapely", "pyproj", "pyogrio", "pyarrow"}


def constants(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def test_names_and_suffixes_are_those_of_one_format_each() -> None:
    names = [form.name for form in FORMATS]
    suffixes = [suffix for form in FORMATS for suffix in (*form.suffixes, *form.only_read)]
    assert [item for item, count in Counter([*names, *suffixes]).items() if count > 1] == []
    for form in FORMATS:
        assert form.suffixes[0] not in form.ambiguous or form.driver is None
        assert set(form.ambiguous) <= {*form.suffixes, *form.only_read}
        assert all(re.fullmatch(r"\.[a-z0-9]+", suffix) for suffix in (*form.suffixes, *form.only_read))


def test_nothing_else_names_a_format_or_its_suffix() -> None:
    """Archives, main files, tables of facts, documents, parts of a catalogue have endings of their own right."""
    words = {form.name for form in FORMATS}
    words |= {suffix for form in FORMATS for suffix in (*form.suffixes, *form.only_read)}
    words -= {".xml", ".zip", ".csv", ".json", ".parquet"}
    homes = {PACKAGE / "file_formats" / "table.py", *(PACKAGE / "formats" / "drivers").glob("*.py")}
    found = {path.relative_to(PACKAGE): constants(path) & words for path in PACKAGE.rglob("*.py") if path not in homes}
    assert {path: named for path, named in found.items() if named} == {}


def test_each_driver_is_declared_and_does_what_is_declared() -> None:
    home = Path(drivers.__file__).parent
    there = {path.stem for path in home.glob("*.py") if re.search(r"^DRIVER\b", path.read_text(), re.MULTILINE)}
    assert {form.driver for form in formats_of_layers()} == there
    for form in formats_of_layers():
        driver = import_module(f"taskdata.formats.drivers.{form.driver}").DRIVER
        assert (hasattr(driver, "read"), hasattr(driver, "write"), hasattr(driver, "losses")) == (
            form.reads,
            form.writes,
            form.writes,
        )


@pytest.mark.parametrize("page", ["README.md", "schemas/README.md"])
def test_the_table_in_the_pages_is_that_of_the_declarations(page: str, tmp_path: Path) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    (tmp_path / "page.md").write_text(text, encoding="utf-8")
    assert pages.main([str(tmp_path / "page.md")]) == 0
    assert (tmp_path / "page.md").read_text(encoding="utf-8") == text
    assert all(f"| `{form.name}` | {form.label} |" in text for form in FORMATS if form.writes)


def test_a_page_without_marks_is_refused() -> None:
    with pytest.raises(ValueError, match="the page has no"):
        pages.between("# Page\n", pages.BEGIN, pages.END, "table")


def test_telling_and_choosing_load_no_library(tmp_path: Path) -> None:
    (tmp_path / "a.gpkg").write_bytes(b"SQLite format 3\0" + b"\0" * 52 + b"GPKG")
    code = (
        "import sys\nfrom taskdata.formats.detect import detect\nimport taskdata.cli.convert\n"
        "print(detect(sys.argv[1]), *sorted({name.partition('.')[0] for name in sys.modules}))"
    )
    run = [sys.executable, "-c", code, str(tmp_path / "a.gpkg")]
    form, *loaded = subprocess.run(run, capture_output=True, text=True, check=True).stdout.split()
    assert form == "gpkg"
    assert not set(loaded) & HEAVY


@pytest.mark.parametrize("name", ["convert", "clean", "merge", "coverage", "passes"])
def test_commands_offer_the_formats_that_are_written(name: str) -> None:
    command = import_module(f"taskdata.cli.{name}").command
    (option,) = (option for option in command.params if option.name == "to")
    assert list(option.type.choices) == writable_names()


def test_messages_list_the_formats(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("nothing of the kind")
    with pytest.raises(SourceError) as caught:
        read(tmp_path / "notes.txt")
    assert str(caught.value).endswith(f"Give {listed(formats_of_layers())}.")
    with pytest.raises(SourceError) as caught:
        load(tmp_path / "notes.txt")
    assert str(caught.value).endswith(f"Give {listed(readable())}")
    with pytest.raises(UsageError, match=re.escape(f"with one of {', '.join(writable_names()[:-1])} or")):
        target_of(tmp_path / "somewhere", None, None)


@pytest.fixture
def only_read(monkeypatch: pytest.MonkeyPatch) -> Format:
    """A format more, declared in a line, that is read as GeoJSON is and never written."""
    known = table.format_named("geojson")
    form = replace(
        known,
        name="notes",
        label="Notes",
        suffixes=(".notes",),
        only_read=(),
        ambiguous=(),
        told=begins_with(b"{", None, b"\n"),
        writes=False,
    )
    monkeypatch.setattr(table, "FORMATS", (form, *FORMATS))
    return form


def test_a_format_may_be_read_only(only_read: Format, tmp_path: Path) -> None:
    source = tmp_path / "places.notes"
    source.write_text('{ \n"type":"FeatureCollection","features":[]}', encoding="utf-8")
    assert detect(source) == "notes"
    assert detect(tmp_path) == "notes"
    assert list(read(source).tables) == ["places"]
    assert "notes" not in writable_names()
    for name, to in (("new.notes", None), ("new", "notes")):
        with pytest.raises(UsageError, match=f"Notes is only read. Choose one of {FORMATS[0].name}, "):
            target_of(tmp_path / name, to, None)
    assert "|  | Notes | `.notes` | yes | no |  |  |" in pages.format_table([only_read])


def test_content_goes_before_the_name(tmp_path: Path) -> None:
    """Content tells a text whatever its name; one that is named as a binary format is refused."""
    file = tmp_path / "fields.kml"
    file.write_text('{"type":"FeatureCollection","features":[]}', encoding="utf-8")
    assert detect(file) == "geojson"
    binary = file.rename(tmp_path / "fields.gpkg")
    with pytest.raises(SourceError, match="its content is that of another format, GeoJSON"):
        read(binary)


@pytest.mark.parametrize(
    "text",
    [
        "<OGRVRTDataSource><OGRVRTLayer name='a'><SrcDataSource>{}</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>",
        "id,WKT\n1,POINT (7 54)\n",
    ],
)
def test_what_is_named_as_a_geopackage_reaches_no_other_driver(text: str, tmp_path: Path) -> None:
    (tmp_path / "a.gpkg").write_text(text.format(samples.OFFICE), encoding="utf-8")
    with pytest.raises(SourceError, match="The GeoPackage cannot be read"):
        read(tmp_path / "a.gpkg")


def test_a_folder_is_read_in_the_format_of_most_of_its_files_and_what_cannot_be_read_is_told(tmp_path: Path) -> None:
    for name in ("a.geojson", "b.json"):
        (tmp_path / name).write_text('{"type":"FeatureCollection","features":[]}', encoding="utf-8")
    (tmp_path / "c.fgb").write_bytes(b"fgb\x03fgb\x01")
    (tmp_path / "notes.json").write_text('{"of": "another program"}', encoding="utf-8")
    (tmp_path / "letter.pdf").write_bytes(b"%PDF-1.7")
    assert detect(tmp_path) == "geojson"
    assert list(read(tmp_path).tables) == ["a", "b"]
    assert {loss.what for loss in load(tmp_path).losses} == {"layer notes.json", "layer c.fgb"}


def test_the_page_says_which_endings_are_only_read() -> None:
    for line, form in zip(pages.format_table().splitlines()[2:], FORMATS, strict=True):
        written, _, read = line.split(" | ")[2].partition("; read only: ")
        assert written == ", ".join(f"`{suffix}`" for suffix in form.suffixes)
        assert read == ", ".join(f"`{suffix}`" for suffix in form.only_read)
        for suffix in form.suffixes:
            found = table.of_target_name(Path(f"farm{suffix}"))
            assert found is not None
            assert found.name == form.name
        assert all(table.of_target_name(Path(f"farm{suffix}")) is None for suffix in form.only_read)

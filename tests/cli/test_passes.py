"""``taskdata passes``: document, outputs, exit codes."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
import shapefile

import taskdata
from taskdata.file_formats.declaration import Layers
from taskdata.file_formats.table import format_named
from tests.documents import READING
from tests.formats.exchange import FORMATS

KEYS = {
    *("field", "line", "heading_deg", "spacing_m", "passes", "length_m", "turns", "time_s", "alternatives"),
    *("ends", "width_m", "undone_m2", "undone_headland_m2"),
    *READING,
}


def test_the_document_has_the_keys_of_the_contract(run: Callable, samples: Path) -> None:
    """Large field: row 0 along its south edge, 24 m from row to row."""
    result = run("passes", samples / "office", "--json", "--speed", "9")
    found = json.loads(result.out)
    assert result.code == 0
    assert set(found) == KEYS
    assert (found["field"], found["line"], found["spacing_m"], found["passes"]) == ("PFD1", "GPN1", 24.0, 11)
    assert found["turns"] == found["passes"] - 1
    assert found["time_s"] == pytest.approx(found["length_m"] / 2.5 + 20.0 * found["turns"])
    assert {frozenset(item) for item in found["alternatives"]} == {
        frozenset({"heading_deg", "passes", "length_m", "turns", "time_s"})
    }
    assert any("Other fields of the set: PFD2" in text for text in found["warnings"])


def test_text_cautions_and_fits(run: Callable, samples: Path) -> None:
    result = run("passes", samples / "office", "--units", "us", "--line", "best", "--width", "6", "--headland", "2")
    text = " ".join(result.out.split())
    assert (result.code, result.err) == (0, "")
    assert "drive the first pass by eye" in text
    assert "headland of 2 rounds" in text
    assert "19.69 ft" in text
    assert max(map(len, result.out.splitlines())) <= 80


@pytest.mark.parametrize("to", FORMATS)
@pytest.mark.parametrize("name", ["out", "passes"])
def test_the_layer_is_read_back(run: Callable, samples: Path, tmp_path: Path, to: str, name: str) -> None:
    """A name that is a file's makes a file; another a folder of layers."""
    form = format_named(to)
    single = name == "passes" or form.layers is Layers.SEVERAL
    target = tmp_path / (f"passes{form.suffix}" if single else "out")
    assert run("passes", samples / "office", "--output", target, "--to", to).code == 0
    assert target.is_file() == single
    assert {path.stem for path in tmp_path.iterdir()} <= {target.stem, "passes.taskdata-sidecar"}
    assert len(taskdata.read(target).guidance) == 11
    if target.is_file():
        (item,) = json.loads(run("inspect", target, "--json").out)["items"]
        assert (item["kind"], item["rows"]) == ("guidance", 11)


def test_others_can_open_the_layer(run: Callable, samples: Path, tmp_path: Path) -> None:
    """pyshp and sqlite3 are the second readers."""
    run("passes", samples / "office", "--output", tmp_path / "shapes", "--to", "shapefile")
    with shapefile.Reader(str(tmp_path / "shapes" / "passes")) as reader:
        assert len(reader) == 11
        assert {record["name"] for record in reader.records()} == {"0", *(f"L{k}" for k in range(1, 11))}
    run("passes", samples / "office", "--output", tmp_path / "passes.gpkg")
    database = sqlite3.connect(tmp_path / "passes.gpkg")
    try:
        assert database.execute("SELECT sum(length_m), count(*) FROM passes").fetchone()[1] == 11
    finally:
        database.close()


def test_passes_go_back_into_the_set_as_guidance_lines(run: Callable, samples: Path, tmp_path: Path) -> None:
    target = tmp_path / "stick"
    assert run("passes", samples / "office", "--output", target, "--to", "isoxml").code == 0
    before = json.loads(run("inspect", samples / "office", "--json").out)
    after = json.loads(run("inspect", target, "--json").out)
    new = [item for item in after["guidance"] if item["id"] not in {line["id"] for line in before["guidance"]}]
    assert len(new) == 11
    assert {item["field"] for item in new} == {"PFD1"}
    assert {(item["kind"], item["spacing_m"]) for item in new} == {("ab", 24.0)}
    assert sum(item["length_m"] for item in new) == pytest.approx(
        json.loads(run("passes", samples / "office", "--json").out)["length_m"], abs=0.01
    )
    told = json.loads(run("check", target, "--format", "json").out)
    assert told["summary"]["error"] == 0


def test_an_older_set_gets_plain_lines(run: Callable, samples: Path, tmp_path: Path) -> None:
    target = tmp_path / "stick"
    result = run("passes", samples / "older", "--width", "9", "--output", target, "--to", "isoxml")
    assert result.code == 0
    before = json.loads(run("inspect", samples / "older", "--json").out)
    after = json.loads(run("inspect", target, "--json").out)
    planned = json.loads(run("passes", samples / "older", "--width", "9", "--json").out)["passes"]
    assert len(after["guidance"]) - len(before["guidance"]) == planned


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--width", "0"), 2),
        (("--width", "6", "--overlap", "7"), 2),
        (("--field", "PFD99"), 2),
        (("--field", "PFD2"), 2),
        (("--line", "GPN99"), 2),
        (("--speed", "0"), 2),
        (("--headland", "-1"), 2),
        (("--output", "out"), 2),
    ],
)
def test_wrong_usage_is_one_line(run: Callable, samples: Path, words: tuple[str, ...], code: int) -> None:
    result = run("passes", samples / "office", *words)
    assert (result.code, result.out, len(result.err.splitlines())) == (code, "", 1)


def test_sources_and_targets_that_cannot_be(run: Callable, samples: Path, tmp_path: Path) -> None:
    assert run("passes", tmp_path / "nothing").code == 3
    (tmp_path / "passes.gpkg").write_bytes(b"mine")
    refused = run("passes", samples / "office", "--output", tmp_path / "passes.gpkg")
    assert (refused.code, (tmp_path / "passes.gpkg").read_bytes()) == (4, b"mine")
    words = ("passes", samples / "office", "--output", tmp_path / "passes.gpkg")
    assert (run(*words, "--overwrite").code, (tmp_path / "passes.gpkg").read_bytes()) == (4, b"mine")
    (tmp_path / "passes.gpkg").unlink()
    assert (run(*words).code, run(*words, "--overwrite").code) == (0, 0)


def test_layers_that_name_no_system_of_coordinates_are_read_with_one(run: Callable, samples: Path) -> None:
    """UTM zone 32 north for the one layer without a projection file; the line of the south edge runs at 88.40°."""
    result = run("passes", samples / "display-shapefiles", "--width", "24", "--crs", "EPSG:32632", "--json")
    assert result.code == 0
    assert json.loads(result.out)["heading_deg"] == pytest.approx(88.40, abs=0.01)


def test_a_heading_just_below_a_full_turn_is_shown_as_north(run: Callable, samples: Path) -> None:
    result = run("passes", samples / "office", "--field", "PFD1", "--line", "359.999", "--width", "24")
    assert result.code == 0
    assert "heading 0.00°" in result.out
    assert "360.00" not in result.out


def test_a_line_without_length_is_refused_with_what_helps(run: Callable, samples: Path) -> None:
    refused = run("passes", samples / "broken", "--width", "12")
    assert (refused.code, refused.out, len(refused.err.splitlines())) == (2, "", 1)
    assert "--line best" in refused.err
    assert run("passes", samples / "broken", "--width", "12", "--line", "best").code == 1  # files are missing


def test_ends_choose_where_rows_end(run: Callable, samples: Path) -> None:
    found = {
        ends: json.loads(
            run("passes", samples / "office", "--json", "--line", "45", "--width", "6", "--ends", ends).out
        )
        for ends in ("full", "centre")
    }
    assert {ends: item["ends"] for ends, item in found.items()} == {"full": "full", "centre": "centre"}
    assert found["full"]["undone_m2"] < 1.0
    ends = 2 * found["centre"]["passes"] * 6.0**2 / 8.0  # a triangle at each end, the edges being at 45 degrees
    assert found["centre"]["undone_m2"] == pytest.approx(ends, rel=0.01)
    assert found["full"]["length_m"] > found["centre"]["length_m"]
    told = run("passes", samples / "office", "--line", "45", "--width", "6", "--ends", "centre", "--units", "us").out
    assert "ac of the field unworked" in " ".join(told.split())
    refused = run("passes", samples / "office", "--ends", "edge")
    assert refused.code == 2

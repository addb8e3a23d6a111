"""``taskdata ratemap``: document, words, exit codes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.documents import READING

KEYS = {
    *("source", "target", "task", "field", "quantities", "as", "cells", "zones", "bill", "rates", "method_error"),
    *("losses", "new_errors"),
    *READING,
}
BILL = {"product", "unit", "area_m2", "before", "after", "difference"}


def words(samples: Path, target: object, *more: object) -> list[object]:
    """A rate map for Große Breite, with more options."""
    own = ["--into", samples / "office", "--field", "Große Breite", "--column", "l_ha", "--unit", "L/ha"]
    return ["ratemap", samples / "rates" / "spraying.geojson", target, *own, *more]


def test_the_document_has_the_keys_of_the_contract(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run(*words(samples, tmp_path / "out", "--as", "grid2", "--machine", "DVC2", "--product", "PDT5", "--json"))
    found = json.loads(result.out)
    assert result.code == 0
    assert set(found) == KEYS
    assert (found["task"], found["field"], found["as"], found["cells"], found["zones"]) == (
        "TSK6",
        "Große Breite",
        "grid2",
        266,
        2,
    )
    assert found["quantities"] == [
        {"ddi": 1, "name": "Setpoint Volume Per Area Application Rate", "unit": "L/ha"},
    ]
    (line,) = found["bill"]
    assert set(line) == BILL
    assert (line["product"], line["unit"]) == ("Spritzbrühe Kornblick 2 %", "L")
    assert line["difference"] == pytest.approx(line["after"] - line["before"], abs=1e-9)
    assert sum(item["area_m2"] * item["rate"] for item in found["rates"]) / 1e4 == pytest.approx(line["after"])
    assert {frozenset(item) for item in found["rates"]} == {frozenset({"rate", "unit", "area_m2"})}
    assert found["method_error"] is None
    assert any("gaps 0, position lost 0, outside the field 0 L/ha" in text for text in found["warnings"])


def test_text_cautions_tells_what_was_taken_and_fits(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run(*words(samples, tmp_path / "out", "--product", "Gülle", "--tank", "900", "--dry-run"))
    text = " ".join(result.out.split())
    assert (result.code, result.err) == (0, "")
    assert "Nothing was written (dry run)" in text
    assert not (tmp_path / "out").exists()
    for told in (
        "the maximum on the product label, buffer zones and local rules come before the map",
        "(DDI 1): the plain rate, not that of a nutrient",
        "New product: Gülle.",
        "2 full tanks or bags of 900 L, and 798.3 L.",
    ):
        assert told in text
    assert "Nothing that was read is lost" not in text
    assert max(map(len, result.out.splitlines()[1:])) <= 80


def test_the_way_there_and_back(run: Callable, samples: Path, tmp_path: Path) -> None:
    """The office's set stays as it is, and the copy holds one task more; a second run needs leave."""
    before = {path: path.read_bytes() for path in (samples / "office").rglob("*") if path.is_file()}
    assert run(*words(samples, tmp_path / "out")).code == 0
    assert {path: path.read_bytes() for path in before} == before
    compared = json.loads(run("compare", samples / "office", tmp_path / "out", "--json").out)
    assert {(item["kind"], item["b"]) for item in compared["differences"] if item["kind"] != "changed"} == {
        ("added", "TSK6")
    }
    again = run(*words(samples, tmp_path / "out"))
    assert again.code == 4
    assert run(*words(samples, tmp_path / "out", "--overwrite")).code == 0
    onto = run(*words(samples, samples / "office"))
    assert onto.code == 4
    assert "lies on the source" in onto.err


@pytest.mark.parametrize("name", ["out.gpkg", "out.zip"])
def test_a_target_may_be_another_format(run: Callable, samples: Path, tmp_path: Path, name: str) -> None:
    target = tmp_path / name
    assert run(*words(samples, target, "--as", "grid2", "--machine", "DVC2")).code == 0
    counts = json.loads(run("inspect", target, "--json").out)
    assert next(item for item in counts["tasks"] if item["id"] == "TSK6")["grid"] is not None


def test_us_units_are_shown_and_stored_exactly(run: Callable, samples: Path, tmp_path: Path) -> None:
    """NIST SP 811: 20 gal/ac are 20 x 3.785411784 L on 4046.8564224 m², 187.08 L/ha."""
    result = run(
        *("ratemap", samples / "rates" / "spraying.geojson", tmp_path / "out", "--column", "l_ha", "--unit", "gal/ac"),
        *("--units", "us", "--json"),
    )
    found = json.loads(result.out)
    assert result.code == 0
    hectares = found["bill"][0]["area_m2"] / 1e4
    mean = found["bill"][0]["after"] / hectares
    assert 150 * 9.353956 < mean < 240 * 9.353956
    assert {item["unit"] for item in found["rates"]} == {"gal/ac"}


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--unit", "L/ha"], "2 units and 1 column were given. Give --unit and --column once for each quantity"),
        (["--field", "Grosse Breitte"], "the set has no such field. Do you mean"),
        (["--machine", "DVC3"], "cannot be set by Setpoint Volume Per Area Application Rate (DDI 1)"),
        (["--machine", "DVC9"], "the set has no such machine"),
        (["--column", "rate"], "1 unit and 2 columns were given"),
        (["--as", "grid2"], None),
        (["--cell", "0.1", "--as", "grid2"], "a cell of a rate map cannot have 0.1 m"),
        (["--cell", "nan", "--as", "grid2"], "a cell of a rate map cannot have nan m"),
        (["--cell", "0.5", "--as", "grid2"], "more than 300,000. Give cells of"),
        (["--classes", "many"], "many: does not say what classes to make"),
        (["--classes", "200,100"], "does not say what classes to make"),
        (["--round", "0"], "rates cannot be rounded to steps of 0"),
        (["--gap-rate", "-1"], "a rate cannot be -1"),
        (["--gap-rate", "1", "--gap-rate", "2"], "1 quantity and 2 rates were given. Give --gap-rate once"),
        (["--gap-rate", "1e9"], "does not fit the 32 bits of task data. Give rates up to 214748 L/ha"),
        (["--tank", "-3"], "a tank cannot hold -3"),
        (["--quantity", "nitrogen"], "is not a quantity that can be set"),
        (["--quantity", "6"], "cannot be set in L/ha"),
        (["--quantity", "2"], "it is not a setpoint"),
        (["--boundary", "x.shp"], "a field of a set has its own boundary. Leave --boundary out, or --into"),
    ],
)
def test_a_wrong_wish_is_one_line(
    run: Callable, samples: Path, tmp_path: Path, more: list[str], told: str | None
) -> None:
    result = run(*words(samples, tmp_path / "out", *more))
    if told is None:
        assert result.code == 0
        return
    assert (result.code, result.out) == (2, "")
    assert told in result.err
    assert result.err.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_a_layer_that_is_not_there_and_one_that_is_none(run: Callable, samples: Path, tmp_path: Path) -> None:
    own = ["--column", "a", "--unit", "kg/ha"]
    missing = run("ratemap", tmp_path / "no.geojson", tmp_path / "out", *own)
    assert (missing.code, missing.err.count("\n")) == (3, 1)
    (tmp_path / "text.geojson").write_text("no layer", encoding="utf-8")
    assert run("ratemap", tmp_path / "text.geojson", tmp_path / "out", *own).code == 3
    assert run("ratemap", samples / "rates" / "spraying.geojson", tmp_path / "out", "--unit", "kg").code == 2

"""``taskdata inspect``: JSON of the contract, text, units."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from tests.documents import READING


def test_json_is_one_document_of_the_contract(run: Callable, samples: Path) -> None:
    result = run("inspect", samples / "office", "--json")
    document = json.loads(result.out)
    assert (result.code, result.err) == (0, "")
    assert set(document) == {
        *("source", "format", "version", "origin", "counts", "fields", "guidance", "machines", "tasks"),
        *("centre", "bounds", "customers", "farms", "products", "workers", "crops"),
        *READING,
    }
    assert (document["format"], document["version"], document["origin"]) == ("isoxml", "4.3", "FMIS")
    assert set(document["fields"][0]) == {
        *("id", "name", "area_m2", "perimeter_m", "declared_area_m2", "polygons", "holes"),
    }
    assert document["counts"]["PFD"] == len(document["fields"])


def test_names_of_people_products_and_crops_are_in_text_and_json(run: Callable, samples: Path) -> None:
    document = json.loads(run("inspect", samples / "office", "--json").out)
    text = " ".join(run("inspect", samples / "office").out.split())
    names = [item["name"] for kind in ("farms", "products", "crops") for item in document[kind]]
    names += [f"{item['first_name']} {item['name']}" for item in document["workers"]]
    names += [variety["name"] for crop in document["crops"] for variety in crop["varieties"]]
    assert len(names) == 2 + 6 + 2 + 2 + 3
    assert [name for name in names if name not in text] == []
    assert {(item["id"], item["mixture"]) for item in document["products"]} >= {("PDT5", True), ("PDT1", False)}
    lon, lat = document["centre"]
    assert f"Centre: {lat:.5f} N, {lon:.5f} E" in text
    west, south, east, north = document["bounds"]
    assert west < lon < east
    assert south < lat < north


def test_units_change_what_is_shown_never_what_is_stored(run: Callable, samples: Path) -> None:
    metric, us = (run("inspect", samples / "office", "--units", units) for units in ("metric", "us"))
    assert " ha" in metric.out
    assert " ac" in us.out
    documents = [run("inspect", samples / "office", "--json", "--units", units).out for units in ("metric", "us")]
    assert documents[0] == documents[1]


def test_text_has_no_escape_codes_in_a_pipe(run: Callable, samples: Path) -> None:
    result = run("inspect", samples / "machine")
    assert (result.code, result.err) == (0, "")
    assert "\x1b" not in result.out

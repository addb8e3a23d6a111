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


def test_a_stick_with_several_things_is_listed(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("inspect", samples, "--json")
    document = json.loads(result.out)
    assert result.code == 1  # the sample of a broken set names files that cannot be read
    assert set(document) == {"source", "items", "aside", *READING}
    items = {item["path"]: item for item in document["items"]}
    assert set(items["season/drill/TASKDATA"]) == {
        *("path", "kind", "format", "rows", "confidence", "why", "columns", "crs", "guess", "width_m", "bounds"),
    }
    assert items["season/drill/TASKDATA"]["kind"] == "taskdata"
    assert items["display-shapefiles/Obst_old.shp"]["guess"]["crs"] == "EPSG:32632"
    assert items["display-shapefiles/BOUNDARY.SHP"]["columns"]["name"] == "FLD_NM"
    text = " ".join(run("inspect", samples).out.split())
    assert "display-shapefiles/Obst_old.shp" in text
    assert "It may be in EPSG:32632" in text
    both = json.loads(run("inspect", samples, samples / "office", "--json").out)
    assert (both["totals"]["surveyed"], both["totals"]["sources"]) == (1, 2)
    one = run("inspect", samples / "display-shapefiles" / "BOUNDARY.SHP", "--json")
    assert [item["path"] for item in json.loads(one.out)["items"]] == ["."]


def test_the_guess_is_written_as_a_mapping(run: Callable, samples: Path, tmp_path: Path) -> None:
    file = tmp_path / "display.toml"
    result = run("inspect", samples / "display-shapefiles", "--make-mapping", file)
    assert (result.code, result.err) == (0, f"taskdata: {file} written: correct it from what you know\n")
    assert 'columns = { customer = "CLNT_X", name = "FLD_NM" }' in file.read_text(encoding="utf-8")
    again = run("inspect", samples / "display-shapefiles", "--make-mapping", file)
    assert again.code == 4
    target = tmp_path / "out"
    done = run(
        "convert", samples / "display-shapefiles", target, "--mapping", file, "--crs", "EPSG:32632", "--to", "isoxml"
    )
    assert done.code == 0

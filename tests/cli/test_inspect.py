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
        *READING,
    }
    assert (document["format"], document["version"], document["origin"]) == ("isoxml", "4.3", "FMIS")
    assert set(document["fields"][0]) == {
        *("id", "name", "area_m2", "perimeter_m", "declared_area_m2", "polygons", "holes"),
    }
    assert document["counts"]["PFD"] == len(document["fields"])


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

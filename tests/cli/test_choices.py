"""What a command chooses from is named by identifier or name, in any case; a wrong name is answered with both."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


@pytest.mark.parametrize("word", ["gpn1", "GPN1", "ab südkante", "AB SÜDKANTE", " AB Südkante "])
def test_a_guidance_line_is_named_in_any_case(word: str, run: Callable[..., Any], samples: Path) -> None:
    plan = json.loads(run("passes", samples / "office", "--line", word, "--json").out)
    assert (plan["field"], plan["line"]) == ("PFD1", "GPN1")


def test_a_plan_names_the_other_fields_and_implements_with_their_names(run: Callable[..., Any], samples: Path) -> None:
    told = " ".join(run("passes", samples / "office", "--line", "best", "--width", "24").out.split())
    assert 'Other fields of the set: PFD2 (Kuhle & "Hölle" (mit Teich)), ' in told
    asked = run("passes", samples / "office", "--line", "best")
    assert asked.code == 2
    assert "DVC2 (Anbauspritze 24 m) 24 m, DVC3 (Drille 3 m) 3 m" in asked.err


def test_the_best_heading_is_asked_for_in_any_case(run: Callable[..., Any], samples: Path) -> None:
    outs = [
        run("passes", samples / "office", "--line", word, "--width", "12", "--json").out for word in ("best", "Best")
    ]
    assert outs[0] == outs[1]
    assert json.loads(outs[0])["line"] == "best heading"


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ("--task", ("TSK1", "tsk1", "spritzen große breite t1")),
        ("--field", ("PFD1", "pfd1", "GROSSE BREITE", "große breite")),
        ("--device", ("DVC1", "dvc1", "DET201", "det201", "SPRITZE")),
    ],
)
def test_tasks_fields_and_machines_are_named_in_any_case(
    option: str, words: tuple[str, ...], run: Callable[..., Any], samples: Path
) -> None:
    extra = () if option == "--task" else ("--task", "TSK1")
    results = [run("coverage", samples / "machine", option, word, *extra, "--json") for word in words]
    assert {result.code for result in results} == {0}
    if option != "--device":
        assert len({result.out for result in results}) == 1
    else:
        assert results[0].out == results[1].out
        assert results[2].out == results[3].out == results[4].out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("passes", "office", "--line", "AB Nordkante"), "Do you mean GPN1 (AB Südkante)"),
        (("passes", "office", "--line", "xyz"), "GPN2 (A+ quer)"),
        (("passes", "office", "--line", "xyz"), "A heading in degrees and best are taken too"),
        (("passes", "office", "--field", "grose breite"), "PFD1 (Große Breite)"),
        (("coverage", "machine", "--task", "Spritzen Grose Breite"), "TSK1 (Spritzen Große Breite T1)"),
        (("coverage", "machine", "--line", "AB Nordkante"), "GPN1 (AB Südkante)"),
        (("coverage", "machine", "--device", "Spritz"), "DET201 (Spritze)"),
        (("shift", "office", "moved", "--field", "grose breite", "--east", "1"), "PFD1 (Große Breite)"),
    ],
)
def test_a_name_that_is_none_is_answered_with_identifiers_and_names(
    words: tuple[str, ...], told: str, run: Callable[..., Any], samples: Path
) -> None:
    command, sample, *rest = words
    result = run(command, samples / sample, *rest)
    assert result.code == 2
    assert told in result.err
    assert len(result.err.splitlines()) == 1


def test_rules_families_severities_and_forms_are_named_in_any_case(
    run: Callable[..., Any], samples: Path, tmp_path: Path
) -> None:
    assert run("rules", "Geometry.Open-Ring").out == run("rules", "geometry.open-ring").out
    assert run("rules", "GEOMETRY").out == run("rules", "geometry").out
    broken = samples / "broken"
    for option in ("--select", "--ignore"):
        plain, other = (run("check", broken, option, word, "--format", "json") for word in ("geometry", " Geometry"))
        assert plain.out == other.out
    forms = [
        run("check", broken, "--fail-on", *words)
        for words in (("error", "--format", "json"), ("ERROR", "--format", "JSON"))
    ]
    assert forms[0] == forms[1]
    for option in ("--only", "--except"):
        plain, other = (
            run("clean", broken, tmp_path / "x", option, word, "--review", "--dry-run") for word in ("name", "NAME")
        )
        assert plain.out == other.out
    assert (
        run("passes", samples / "office", "--units", "US").out == run("passes", samples / "office", "--units", "us").out
    )


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("rules", "geometry.open-rin"), "Do you mean geometry.open-ring?"),
        (("check", "broken", "--select", "geometri"), "geometry"),
        (("clean", "broken", "x", "--only", "identity.leading-zeros"), "Do you mean identity.leading-zero?"),
    ],
)
def test_a_rule_that_is_none_is_answered_with_the_nearest(
    words: tuple[str, ...], told: str, run: Callable[..., Any], samples: Path
) -> None:
    result = run(*(samples / word if word == "broken" else word for word in words))
    assert result.code == 2
    assert told in result.err


def test_the_column_of_names_is_named_in_any_case(run: Callable[..., Any], tmp_path: Path) -> None:
    ring = [[7.0, 54.3], [7.001, 54.3], [7.001, 54.301], [7.0, 54.3]]
    feature = {
        "type": "Feature",
        "properties": {"Schlag": "Kuhle", "x": "y"},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    (tmp_path / "f.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": [feature]}), encoding="utf-8"
    )
    for word in ("Schlag", "SCHLAG", "schlag"):
        found = json.loads(run("inspect", tmp_path, "--name-column", word, "--json").out)
        assert [item["name"] for item in found["fields"]] == ["Kuhle"]
    result = run("inspect", tmp_path, "--name-column", "Schlagname")
    assert result.code == 2
    assert "Schlag" in result.err.partition("Schlagname")[2]

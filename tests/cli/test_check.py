"""``taskdata check``: text, JSON, exit codes."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from lxml import etree

from tests.documents import READING

NULLABLE_TEXT = {"type": ["string", "null"]}
# The document of the command contract, as a JSON Schema.
RULES = Path(__file__).parents[1] / "rules"
SCHEMA = {
    "type": "object",
    "additionalProperties": False,
    "required": ["source", "version", "summary", "findings", "warnings", "unread"],
    "properties": {
        **READING,
        "source": {"type": "string"},
        "version": NULLABLE_TEXT,
        "summary": {
            "type": "object",
            "additionalProperties": False,
            "required": ["error", "warning", "note"],
            "properties": {name: {"type": "integer", "minimum": 0} for name in ("error", "warning", "note")},
        },
        "findings": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": [
                    *("rule", "severity", "message", "file", "line", "element"),
                    *("path", "clause", "location", "repair"),
                ],
                "properties": {
                    "rule": {"type": "string"},
                    "severity": {"enum": ["error", "warning", "note"]},
                    "message": {"type": "string", "pattern": "[.!?]$"},
                    "file": NULLABLE_TEXT,
                    "line": {"type": ["integer", "null"], "minimum": 1},
                    "element": NULLABLE_TEXT,
                    "path": NULLABLE_TEXT,
                    "clause": NULLABLE_TEXT,
                    "location": {
                        "anyOf": [
                            {"type": "null"},
                            {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
                        ]
                    },
                    "repair": {"enum": ["safe", "review", None]},
                },
            },
        },
    },
}


def test_json_is_one_document_of_the_contract(run: Callable, samples: Path) -> None:
    result = run("check", samples / "broken", "--format", "json")
    document = json.loads(result.out)
    jsonschema.validate(document, SCHEMA)
    assert (result.code, result.err) == (1, "")
    assert document["version"] == "4.3"
    dangling = next(item for item in document["findings"] if item["rule"] == "reference.dangling")
    assert dangling == {
        "rule": "reference.dangling",
        "severity": "error",
        "message": "CustomerIdRef of PFD1 refers to CTR9, which is not in the set.",
        "file": "TASKDATA.XML",
        "line": 21,
        "element": "PFD1",
        "path": "/ISO11783_TaskData/PFD[1]",
        "clause": "8.4",
        "location": None,
        "repair": None,  # an external file that may hold it is missing
    }


def test_several_sources_are_one_document(run: Callable, samples: Path) -> None:
    result = run("check", samples / "office", samples / "broken", "--format", "json")
    document = json.loads(result.out)
    for item in document["sources"]:
        jsonschema.validate(item, SCHEMA)
    assert [item["summary"]["error"] > 0 for item in document["sources"]] == [False, True]
    assert result.code == 1


def test_a_source_that_cannot_be_read_does_not_stop_the_others(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("check", tmp_path / "nowhere", samples / "office", "--format", "json")
    first, second = json.loads(result.out)["sources"]
    assert set(first) == {"source", "error"}
    jsonschema.validate(second, SCHEMA)
    assert result.code == 3
    assert len(result.err.splitlines()) == 1


def test_text_says_what_to_do_first_and_fits_a_terminal(run: Callable, samples: Path) -> None:
    result = run("check", samples / "broken")
    lines = result.out.splitlines()
    assert "errors" in lines[1]
    assert lines[2].startswith("Begin with file.wrong-length in TASKDATA.XML:")
    assert max(map(len, lines)) <= 80
    assert "\x1b" not in result.out
    assert "ERROR  reference.dangling" in result.out
    assert "Drive the first pass" in result.out


def test_text_of_a_sound_set(run: Callable, samples: Path) -> None:
    result = run("check", samples / "office")
    assert result.out.splitlines()[1] == "5 notes."
    assert (result.code, result.err) == (0, "")


def test_text_of_a_set_with_nothing_to_say(run: Callable) -> None:
    result = run("check", RULES / "reference.dangling" / "good")
    assert "Nothing found." in result.out
    assert (result.code, result.err) == (0, "")


@pytest.mark.parametrize(
    ("name", "level", "code"),
    [
        ("older", "error", 0),
        ("older", "warning", 0),
        ("older", "note", 1),
        ("broken", "error", 1),
        ("office", "warning", 0),
        ("office", "note", 1),
    ],
)
def test_the_fail_level_decides_the_exit_code(run: Callable, samples: Path, name: str, level: str, code: int) -> None:
    assert run("check", samples / name, "--fail-on", level).code == code


def test_rules_can_be_chosen(run: Callable, samples: Path) -> None:
    words = (
        "check",
        samples / "broken",
        "--format",
        "json",
        "--select",
        "identity",
        "--ignore",
        "identity.repeated-id",
    )
    found = {item["rule"] for item in json.loads(run(*words).out)["findings"]}
    assert found == {"identity.leading-zero", "identity.reserved-number"}


def test_an_unknown_rule_is_wrong_usage(run: Callable, samples: Path) -> None:
    result = run("check", samples / "office", "--select", "nonsense")
    assert result.code == 2
    assert result.err == "taskdata: nonsense: no rule or family of rules has this name. See: taskdata rules\n"


def test_the_limit_counts_the_rest(run: Callable, samples: Path) -> None:
    words = ("check", samples / "broken", "--format", "json", "--select", "file.missing", "--max-per-rule", "1")
    document = json.loads(run(*words).out)
    assert document["summary"]["error"] == 3
    assert document["findings"][1]["message"] == "More findings of this kind, not listed: 2."


def test_a_source_is_not_changed(run: Callable, samples: Path, tmp_path: Path) -> None:
    copy = tmp_path / "set"
    shutil.copytree(samples / "broken", copy)
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in copy.rglob("*") if path.is_file()}
    run("check", copy)
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in copy.rglob("*") if path.is_file()} == before


def test_a_receiver_is_checked_against_the_profile_of_another_set(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "old.toml"
    made = run("inspect", samples / "older", "--make-receiver", profile)
    assert (made.code, profile.exists()) == (0, True)
    words = ("check", samples / "office", "--receiver", profile, "--format", "json", "--fail-on", "warning")
    assert run(*words).code == 0  # what was inferred from one set is a hint until a person confirms it
    text = profile.read_text(encoding="utf-8")
    profile.write_text(text[: text.rindex("[inferred]")], encoding="utf-8")
    result = run(*words)
    found = {(item["rule"], item["severity"]) for item in json.loads(result.out)["findings"]}
    assert result.code == 1
    assert {("receiver.version-not-taken", "error"), ("receiver.guidance-groups-not-taken", "error")} <= found


def test_a_profile_is_never_replaced(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "old.toml"
    profile.write_text("mine", encoding="utf-8")
    result = run("inspect", samples / "older", "--make-receiver", profile)
    assert (result.code, result.out, len(result.err.splitlines())) == (4, "", 1)
    assert profile.read_text(encoding="utf-8") == "mine"


def test_known_findings_are_not_reported_again(run: Callable, samples: Path, tmp_path: Path) -> None:
    known = tmp_path / "known.json"
    written = run("check", samples / "broken", "--write-baseline", known)
    assert (written.code, written.out, len(written.err.splitlines())) == (0, "", 1)
    result = run("check", samples / "broken", "--baseline", known, "--fail-on", "note")
    assert (result.code, "Nothing found." in result.out) == (0, True)
    assert run("check", samples / "broken", "--write-baseline", known).code == 4
    assert run("check", samples / "broken", samples / "office", "--write-baseline", tmp_path / "two.json").code == 2
    assert run("check", samples / "broken", "--baseline", tmp_path / "none.json").code == 2


def test_sarif_names_the_files_where_they_lie(run: Callable, samples: Path, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    shutil.copytree(samples / "broken", stick)
    main = stick / "TASKDATA" / "TASKDATA.XML"
    for source in (stick, stick / "TASKDATA", main):
        (runs,) = json.loads(run("check", source, "--format", "sarif").out)["runs"]
        places = [item["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for item in runs["results"]]
        assert main.as_uri() in places, source


def test_a_source_that_cannot_be_read_stands_in_every_document(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ("check", tmp_path / "nowhere", samples / "office", "--format")
    first, second = json.loads(run(*words, "sarif").out)["runs"]
    assert [item["invocations"][0]["executionSuccessful"] for item in (first, second)] == [False, True]
    result = run(*words, "junit")
    suites = etree.fromstring(result.out.encode())
    assert [suite.get("errors") for suite in suites] == ["1", "0"]
    assert result.code == 3


def test_layers_without_coordinate_system_can_be_told_theirs(run: Callable, samples: Path) -> None:
    alone = run("check", samples / "display-shapefiles", "--format", "json")
    assert alone.code == 1
    told = [item for item in json.loads(alone.out)["findings"] if item["severity"] == "error"]
    assert [(item["rule"], item["file"]) for item in told] == [("import.crs-unknown", "Obst_old.shp")]
    assert run("check", samples / "display-shapefiles", "--crs", "EPSG:32632").code == 0


def test_layers_beside_several_sets_are_not_passed_over_in_silence(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    for name in ("office", "machine"):
        shutil.copytree(samples / name, tmp_path / name)
    assert "not checked" not in run("check", tmp_path).err
    shutil.copy(samples / "receiver" / "mowing.csv", tmp_path)
    told = run("check", tmp_path).err
    assert f"holds 2 sets; 1 layer beside them is not checked, such as {tmp_path}/mowing.csv. Name each" in told
    assert "not checked" not in run("check", tmp_path / "mowing.csv").err

"""``taskdata convert --version`` and ``--receiver``: ledger, dry run, exit codes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path


def shown(run: Callable, *words: object) -> tuple[int, str, str]:
    result = run(*words)
    return result.code, result.out, result.err


def test_a_dry_run_shows_the_ledger_of_another_version_and_writes_nothing(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    words = ["convert", str(samples / "office"), str(tmp_path / "stick"), "--to", "isoxml", "--version", "3"]
    code, out, _ = shown(run, *words, "--dry-run", "--json")
    assert code == 0
    assert list(tmp_path.iterdir()) == []
    foreseen = json.loads(out)
    code, out, _ = shown(run, *words, "--verify", "--json")
    assert code == 0
    assert json.loads(out) == foreseen
    assert {
        "kind": "changed",
        "element": None,
        "what": "version 4.3 becomes 3.3",
        "why": "it was asked for",
    } in foreseen["losses"]


def test_a_zone_is_taken_by_name_and_refused_where_there_is_none(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ["convert", str(samples / "older"), str(tmp_path / "stick"), "--to", "isoxml", "--version", "4"]
    code, _, err = shown(run, *words, "--zone", "Nowhere/Town")
    assert (code, "no time zone" in err) == (2, True)
    code, _, _ = shown(run, *words, "--zone", "+02:00")
    assert code == 0
    assert '+02:00"' in (tmp_path / "stick" / "TASKDATA" / "TASKDATA.XML").read_text(encoding="utf-8")


def test_a_receiver_is_satisfied_or_refused_in_one_line(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "terminal.toml"
    profile.write_text('[receiver]\nversions = [3]\n[names]\nlongest = 10\ncharacters = "ascii"\n', encoding="utf-8")
    words = ["convert", str(samples / "office"), str(tmp_path / "stick"), "--to", "isoxml", "--receiver", str(profile)]
    code, _, _ = shown(run, *words)
    assert code == 0
    code, out, _ = shown(run, "check", str(tmp_path / "stick"), "--receiver", str(profile), "--format", "json")
    assert code == 0
    assert not [item for item in json.loads(out)["findings"] if item["rule"].startswith("receiver.")]
    profile.write_text("[limits]\nfields = 1\n", encoding="utf-8")
    code, _, err = shown(run, *words[:2], str(tmp_path / "other"), *words[3:])
    assert (code, err.count("\n")) == (4, 1)
    assert "5 fields where it takes 1" in err
    assert not (tmp_path / "other").exists()


def test_a_receiver_is_only_for_sets(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "terminal.toml"
    profile.write_text("[limits]\nfields = 9\n", encoding="utf-8")
    code, _, err = shown(
        run, "convert", str(samples / "office"), str(tmp_path / "farm.gpkg"), "--receiver", str(profile)
    )
    assert (code, "only for ISO-XML" in err) == (2, True)

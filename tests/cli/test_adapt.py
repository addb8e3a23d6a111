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
        "why": "the target is of that version",
    } in foreseen["losses"]


def test_a_zone_is_taken_by_name_and_refused_where_there_is_none(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ["convert", str(samples / "older"), str(tmp_path / "stick"), "--to", "isoxml", "--version", "4"]
    code, _, err = shown(run, *words, "--time-zone", "Nowhere/Town")
    assert (code, "no time zone" in err) == (2, True)
    code, _, _ = shown(run, *words, "--time-zone", "+02:00")
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
    profile.write_text("[limits]\nguidance_lines = 1\n", encoding="utf-8")
    code, _, err = shown(run, *words[:2], str(tmp_path / "other"), *words[3:])
    assert (code, err.count("\n")) == (4, 1)
    assert "PFD1" in err
    assert "3 guidance lines where it accepts 1" in err
    assert not (tmp_path / "other").exists()


def test_a_version_that_the_receiver_does_not_read_is_wrong_usage(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "terminal.toml"
    profile.write_text('[receiver]\nname = "Kabine"\nversions = [3]\n', encoding="utf-8")
    words = ["convert", str(samples / "office"), str(tmp_path / "stick"), "--to", "isoxml", "--receiver", str(profile)]
    code, _, err = shown(run, *words, "--version", "4")
    assert (code, "version 4 was asked for, but Kabine reads 3" in err) == (2, True)
    assert shown(run, *words, "--version", "3")[0] == 0


def test_a_receiver_is_only_for_sets(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "terminal.toml"
    profile.write_text("[limits]\nfields = 9\n", encoding="utf-8")
    code, _, err = shown(
        run, "convert", str(samples / "office"), str(tmp_path / "farm.gpkg"), "--receiver", str(profile)
    )
    assert (code, "only for ISO-XML" in err) == (2, True)


def test_a_set_that_is_too_large_goes_over_several_sticks(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "terminal.toml"
    profile.write_text("[limits]\nfields = 3\n", encoding="utf-8")
    target = tmp_path / "sticks"
    words = ["convert", str(samples / "office"), str(target), "--to", "isoxml", "--receiver", str(profile)]
    code, out, _ = shown(run, *words, "--dry-run", "--json")
    foreseen = json.loads(out)
    assert (code, target.exists()) == (0, False)
    target.mkdir()
    code, out, _ = shown(run, *words, "--verify", "--json")
    assert (code, json.loads(out)) == (0, foreseen)
    assert [stick["target"] for stick in foreseen["sticks"]] == [str(target / "stick1"), str(target / "stick2")]
    assert [stick["fields"] for stick in foreseen["sticks"]] == [["PFD1", "PFD2", "PFD4"], ["PFD3", "PFD5"]]
    assert [stick["tasks"] for stick in foreseen["sticks"]] == [["TSK1", "TSK2", "TSK5"], ["TSK3", "TSK4"]]
    assert [item.name for item in sorted(target.iterdir())] == ["stick1", "stick2"]
    for stick in foreseen["sticks"]:
        code, out, _ = shown(run, "check", stick["target"], "--receiver", str(profile), "--format", "json")
        assert code == 0
        assert not [item for item in json.loads(out)["findings"] if item["rule"].startswith("receiver.")]
    code, _, err = shown(run, *words)
    assert (code, "exists already" in err) == (4, True)
    code, out, _ = shown(run, *words, "--overwrite")
    assert (code, "2 sticks" in out) == (0, True)


def test_several_sticks_are_no_single_set(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "terminal.toml"
    profile.write_text("[limits]\nfields = 3\n", encoding="utf-8")
    source, receiver = str(samples / "office"), ["--receiver", str(profile)]
    code, _, err = shown(run, "convert", source, str(tmp_path / "TASKDATA"), *receiver)
    assert (code, "needs 2 sticks" in err) == (4, True)
    assert shown(run, "convert", source, str(tmp_path / "farm.zip"), *receiver, "--verify")[0] == 0
    code, _, err = shown(run, "inspect", str(tmp_path / "farm.zip"))
    assert (code, "holds 2 sets" in err) == (2, True)
    target = tmp_path / "sticks"
    assert shown(run, "convert", source, str(target), "--to", "isoxml", *receiver)[0] == 0
    code, _, err = shown(run, "convert", source, str(target), "--to", "isoxml")
    assert (code, "holds sticks" in err) == (4, True)
    (target / "stick1" / "notes.txt").write_text("mine", encoding="utf-8")
    code, _, err = shown(run, "convert", source, str(target), "--to", "isoxml", *receiver, "--overwrite")
    assert (code, "holds other files" in err) == (4, True)
    assert (target / "stick1" / "notes.txt").exists()


def test_a_wish_that_only_task_data_can_fulfil_tells_the_format(run: Callable, samples: Path, tmp_path: Path) -> None:
    assert run("convert", samples / "office", tmp_path / "cab").code == 2
    assert run("convert", samples / "office", tmp_path / "cab", "--version", "3").code == 0
    assert (tmp_path / "cab" / "TASKDATA" / "TASKDATA.XML").is_file()
    refused = run("convert", samples / "office", tmp_path / "cab.gpkg", "--version", "3")
    assert (refused.code, "only for ISO-XML" in refused.err) == (2, True)

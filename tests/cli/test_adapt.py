"""``taskdata convert --version`` and ``--receiver``: ledger, dry run, exit codes."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

from taskdata import api


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
    code, _, err = shown(run, "convert", str(tmp_path / "farm.zip"), str(tmp_path / "farm.gpkg"))
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


def test_what_a_refusal_names_can_be_left_out(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "terminal.toml"
    words = ["convert", samples / "office", tmp_path / "stick", "--to", "isoxml", "--receiver", profile]
    for limit, named, left in (
        ("guidance_lines = 2", "--leave-out GPN1 --leave-out GPN2 --leave-out GPN3", ["GPN1", "GPN5", "GPN6"]),
        ("rings_in_field = 1", "--leave-out PFD2 --leave-out PFD3", ["PFD2", "PFD3"]),
        (
            "guidance_lines = 2\n[receiver]\nversions = [3]",
            "--leave-out PFD1, or all lines: --leave guidance",
            ["PFD1", "PFD5"],
        ),
    ):
        profile.write_text(f"[limits]\n{limit}\n", encoding="utf-8")
        refused = run(*words)
        assert (refused.code, refused.err.count("\n")) == (4, 1)
        assert named in refused.err
        options = [text for identifier in left for text in ("--leave-out", identifier)]
        done = run(*words, *options, "--overwrite", "--json")
        assert done.code == 0, done.err
        assert json.loads(done.out)["left_out"]
        places = [path.parent for path in (tmp_path / "stick").rglob("TASKDATA.XML")]
        assert places
        for place in places:
            found = run("check", place, "--receiver", profile, "--select", "receiver", "--format", "json")
            assert json.loads(found.out)["findings"] == []
            text = (place / "TASKDATA.XML").read_text(encoding="utf-8")
            assert not [identifier for identifier in left if f'"{identifier}"' in text]
        shutil.rmtree(tmp_path / "stick")


def test_a_hint_changes_nothing_until_a_person_confirms_it(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "cab.toml"
    stick = samples / "season" / "drill"
    assert run("inspect", stick, "--make-receiver", profile).code == 0
    text = profile.read_text(encoding="utf-8")
    assert "fields = 2" in text
    words = ["convert", samples / "office", tmp_path / "stick", "--to", "isoxml", "--receiver", profile]
    done = run(*words, "--json")
    document = json.loads(done.out)
    assert (done.code, document["losses"], document.get("sticks")) == (0, [], None)
    assert any("5 fields" in warning and "hint" in warning for warning in document["warnings"])
    assert api.compare(samples / "office", tmp_path / "stick").equal
    found = json.loads(run("check", samples / "office", "--receiver", profile, "--format", "json").out)["findings"]
    severities = {item["severity"] for item in found if item["rule"].startswith("receiver.")}
    assert severities == {"note"}
    profile.write_text(text.replace('    "limits.fields",\n', ""), encoding="utf-8")
    words[2] = tmp_path / "sticks"
    sticks = json.loads(run(*words, "--json").out)["sticks"]
    assert {len(item["fields"]) for item in sticks} == {2}
    found = json.loads(run("check", samples / "office", "--receiver", profile, "--format", "json").out)["findings"]
    assert {item["rule"] for item in found if item["severity"] == "error"} == {"receiver.too-many-fields"}

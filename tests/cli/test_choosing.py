"""Options that choose a part of a set, on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from tests.exchange import two_customers


def test_convert_counts_what_stays_behind(run: Callable, samples: Path, tmp_path: Path) -> None:
    done = run("convert", samples / "machine", tmp_path / "one", "--to", "isoxml", "--field", "PFD3", "--json")
    assert done.code == 0
    document = json.loads(done.out)
    assert document["written"]["fields"] == 1
    assert document["left_out"]["fields"] == 5
    assert any("cannot be told" in warning for warning in document["warnings"])
    text = run("convert", samples / "machine", tmp_path / "two", "--to", "isoxml", "--field", "PFD3").out
    assert "Left behind: customers 1, farms 1, fields 5" in text
    assert "Nothing of what was chosen is lost." in text


def test_what_was_said_in_vain_is_still_told(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ["convert", samples / "machine", tmp_path / "t", "--to", "isoxml", "--crs", "EPSG:25832", "--field", "PFD3"]
    rules = [item["rule"] for item in json.loads(run(*words, "--json").out)["findings"]]
    assert rules == ["import.crs-not-applied"]


def test_inspect_shows_the_part_alone(run: Callable, tmp_path: Path) -> None:
    source = two_customers.write(tmp_path / "TASKDATA")
    done = run("inspect", source, "--customer", "Levke Birkenbusch", "--json")
    document = json.loads(done.out)
    assert [item["id"] for item in document["tasks"]] == ["TSK1", "TSK3"]
    assert document["left_out"]["customers"] == 1
    assert "Quastenberg" not in done.out


def test_a_name_has_to_fit_in_one_of_the_sources(run: Callable, samples: Path, tmp_path: Path) -> None:
    sticks = [samples / "season" / name for name in ("drill", "sprayer", "spreader")]
    good = run("inspect", *sticks, "--field", "Neu am Tor", "--json")
    assert good.code == 0
    assert [len(item["fields"]) for item in json.loads(good.out)["sources"]].count(0) == 2
    bad = run("inspect", *sticks, "--field", "Neu am Tör")
    assert bad.code == 2
    assert "PFD-1 (Neu am Tor)" in bad.err
    merged = run("merge", *sticks, tmp_path / "m", "--to", "isoxml", "--field", "Neu am Tör")
    assert merged.code == 2
    assert merged.err.count("\n") == 1
    assert "PFD-1 (Neu am Tor)" in merged.err
    assert not (tmp_path / "m").exists()


def test_wrong_words_are_wrong_usage(run: Callable, samples: Path, tmp_path: Path) -> None:
    for options, words in {
        ("--since", "gestern"): "--since 2024-04-18",
        ("--leave", "log"): "Do you mean logs?",
        ("--leave-out", "DET203"): "--leave-out DVC2",
        ("--task", "TSK77"): "there is no such task",
        ("--field", "PFD1", "--customer", "CTR2"): "is not a field of what else was chosen",
    }.items():
        done = run("convert", samples / "machine", tmp_path / "t", "--to", "isoxml", *options)
        assert (done.code, done.err.count("\n")) == (2, 1), done.err
        assert words in done.err
    assert not (tmp_path / "t").exists()


def test_a_file_of_a_left_task_that_cannot_be_read_is_not_missed(run: Callable, tmp_path: Path) -> None:
    source = two_customers.write(tmp_path / "TASKDATA")
    (source / "TLG00002.BIN").unlink()
    assert run("convert", source, tmp_path / "all", "--to", "isoxml").code == 1
    assert run("convert", source, tmp_path / "one", "--to", "isoxml", "--field", "PFD1").code == 0
    assert run("convert", source, tmp_path / "two", "--to", "isoxml", "--field", "PFD2").code == 1

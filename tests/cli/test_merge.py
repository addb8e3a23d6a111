"""``taskdata merge`` on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from taskdata import api
from tests.sets.handmade import handmade


def test_several_sets_become_one(run: Callable, samples: Path, tmp_path: Path) -> None:
    target = tmp_path / "season"
    done = run("merge", samples / "office", samples / "machine", target, "--to", "isoxml", "--json")
    assert done.code == 0
    document = json.loads(done.out)
    assert document["sources"] == [str(samples / "office"), str(samples / "machine")]
    assert document["written"]["tasks"] == 6
    assert (target / "TASKDATA" / "TASKDATA.XML").is_file()
    again = run("merge", samples / "office", target, "--to", "isoxml")
    assert again.code == 4
    over = run("merge", samples / "office", samples / "machine", target, "--to", "isoxml", "--overwrite")
    assert over.code == 0
    assert "Found in several sources" in over.out
    assert "TaskStatus of Task TSK1" in over.out


def test_a_dry_run_writes_nothing(run: Callable, samples: Path, tmp_path: Path) -> None:
    done = run("merge", samples / "office", samples / "office", tmp_path / "all.zip", "--dry-run")
    assert done.code == 0
    assert "Nothing was written" in done.out
    assert list(tmp_path.iterdir()) == []


def test_faults_end_with_their_code(run: Callable, samples: Path, tmp_path: Path) -> None:
    assert run("merge", samples / "office").code == 2
    unknown = handmade(tmp_path / "unknown", "") / "TASKDATA.XML"
    unknown.write_text(unknown.read_text(encoding="utf-8").replace('VersionMajor="4"', ""), encoding="utf-8")
    mixed = run("merge", samples / "office", unknown.parent, tmp_path / "all.zip")
    assert mixed.code == 2
    assert mixed.err.count("\n") == 1
    assert "VersionMajor" in mixed.err
    missing = run("merge", samples / "office", tmp_path / "nothing", tmp_path / "all.zip")
    assert missing.code == 3


def test_two_outlines_of_a_field_are_shown_with_their_areas(run: Callable, tmp_path: Path) -> None:
    point = '<PNT A="2" C="{}" D="{}"/>'
    for name, north in (("one", 54.305), ("two", 54.3045)):
        corners = ((54.3, 7.0), (54.3, 7.01), (north, 7.01), (north, 7.0), (54.3, 7.0))
        ring = "".join(point.format(*corner) for corner in corners)
        handmade(tmp_path / name, f'<PFD A="PFD1" C="Kuhle" D="0"><PLN A="1"><LSG A="1">{ring}</LSG></PLN></PFD>')
    done = run("merge", tmp_path / "one", tmp_path / "two", tmp_path / "all.zip", "--dry-run")
    text = " ".join(done.out.split())
    assert "outline of Partfield PFD1: as in " in text
    assert " ha) kept, not as in " in text


def test_an_older_set_is_brought_to_the_version_of_the_others(run: Callable, samples: Path, tmp_path: Path) -> None:
    """Without becoming one of the office by that: the later work of a machine counts before its word."""
    sticks = [samples / "season" / name for name in ("drill", "sprayer", "spreader")]
    done = run("merge", *sticks, tmp_path / "season", "--json")
    told = json.loads(done.out)
    assert {loss["why"] for loss in told["losses"] if "3.3" in loss["what"]} == {"the target is of that version"}
    assert [loss["what"] for loss in told["losses"] if "data transfer origin" in loss["what"]] == []
    field = next(item for item in api.read(tmp_path / "season").fields if item.name == "Ostzipfel")
    alone = next(item for item in api.read(sticks[1]).fields if item.name == "Ostzipfel")
    assert [ring.tolist() for area in field.boundaries for ring in area.exteriors] == [
        ring.tolist() for area in alone.boundaries for ring in area.exteriors
    ]
    assert len(api.read(tmp_path / "season").tasks) == 3

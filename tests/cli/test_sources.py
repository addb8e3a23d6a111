"""Sticks as they are, on the command line and from Python: several sets, copies, archives, what systems leave."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import taskdata
from tests.samples import MACHINE, OFFICE, OLDER

LEFT = (".DS_Store", "TASKDATA/.DS_Store", "TASKDATA/Thumbs.db", "TASKDATA/._TASKDATA.XML")
COMMANDS = [
    ("convert", "target", "--to", "isoxml"),
    ("clean", "target"),
    ("merge", "target"),
    ("shift", "target", "--east", "1"),
    ("coverage",),
    ("passes",),
]


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A stick with the set, a dated copy, an archive with an older one, and what systems leave."""
    root = tmp_path / "stick"
    shutil.copytree(OFFICE, root / "TASKDATA")
    shutil.copytree(OLDER, root / "TASKDATA_2023")
    with zipfile.ZipFile(root / "backup.zip", "w") as archive:
        for path in sorted(MACHINE.iterdir()):
            archive.write(path, f"2022/TASKDATA/{path.name}")
            archive.writestr(f"__MACOSX/2022/TASKDATA/._{path.name}", b"left")
    for name in LEFT:
        (root / name).write_bytes(b"left")
    return root


def without_set(stick: Path) -> Path:
    """The stick without its set at the root, so that only copies are left."""
    shutil.rmtree(stick / "TASKDATA")
    return stick


def test_check_audits_each_set_of_a_stick(stick: Path, run: Callable[..., Any]) -> None:
    result = run("check", stick, "--format", "json")
    reports = json.loads(result.out)["sources"]
    copies = [stick / "TASKDATA_2023", stick / "backup.zip" / "2022" / "TASKDATA"]
    assert [item["source"] for item in reports] == [str(path) for path in (stick / "TASKDATA", *copies)]
    for report, sample in zip(reports, (OFFICE, OLDER, MACHINE), strict=True):
        alone = json.loads(run("check", sample, "--format", "json").out)
        assert (report["summary"], report["version"]) == (alone["summary"], alone["version"])
        assert report["findings"] == alone["findings"]


def test_check_tells_of_an_archive_on_the_stick_that_it_cannot_open(stick: Path, run: Callable[..., Any]) -> None:
    content = (stick / "backup.zip").read_bytes()
    (stick / "backup.zip").write_bytes(content[: len(content) // 2])
    result = run("check", stick, "--format", "json")
    assert result.code == 3
    assert f"{stick / 'backup.zip'}: is a damaged zip archive" in result.err
    assert [bool(item.get("error")) for item in json.loads(result.out)["sources"]] == [False, False, True]


def test_inspect_names_every_set_of_a_stick(stick: Path, run: Callable[..., Any]) -> None:
    result = run("inspect", stick, "--json")
    assert result.code == 0
    items = {item["path"]: item for item in json.loads(result.out)["items"]}
    assert list(items) == ["TASKDATA", "TASKDATA_2023", "backup.zip/2022/TASKDATA"]
    for path, sample in zip(items, (OFFICE, OLDER, MACHINE), strict=True):
        alone = json.loads(run("inspect", sample, "--json").out)
        assert items[path]["rows"] == sum(alone["counts"].values())
        assert items[path]["bounds"] == alone["bounds"]
        assert json.loads(run("inspect", stick / path, "--json").out)["counts"] == alone["counts"]


def test_reading_takes_the_set_at_the_root_and_nothing_else(stick: Path) -> None:
    assert taskdata.read(stick).counts == taskdata.read(OFFICE).counts
    told = [(item.rule.id, item.facts["found"]) for item in taskdata.read(stick).findings]
    another = "file.another-set"
    assert told == [
        (another, str(stick / "TASKDATA_2023")),
        (another, str(stick / "backup.zip" / "2022" / "TASKDATA")),
    ]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_among_several_sets_every_command_names_each(
    stick: Path, words: tuple[str, ...], run: Callable[..., Any], tmp_path: Path
) -> None:
    command, *rest = words
    rest = [str(tmp_path / "out") if word == "target" else word for word in rest]
    result = run(command, without_set(stick), *rest)
    assert result.code == 2
    assert result.out == ""
    assert result.err == (
        f"taskdata: {stick}: holds 2 sets (it is not clear which one is meant). Name one of them: "
        f"{stick}/TASKDATA_2023, {stick}/backup.zip/2022/TASKDATA\n"
    )
    assert not (tmp_path / "out").exists()


def test_compare_names_each_too(stick: Path, run: Callable[..., Any]) -> None:
    assert run("compare", OFFICE, without_set(stick)).code == 2


def test_a_path_into_an_archive_is_a_source_of_every_command(
    stick: Path, run: Callable[..., Any], tmp_path: Path
) -> None:
    inside = stick / "backup.zip" / "2022" / "TASKDATA"
    assert run("compare", inside, MACHINE).code == 0
    done = run("convert", inside, tmp_path / "farm.gpkg", "--verify", "--json")
    assert done.code == 0
    assert json.loads(done.out)["losses"] == []
    assert run("compare", tmp_path / "farm.gpkg", MACHINE).code == 0
    assert run("clean", inside, stick / "backup.zip", "--to", "isoxml", "--overwrite").code == 4, "the source stays"


def test_what_systems_leave_is_not_carried(stick: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    for target in ("set/TASKDATA", "set.zip", "farm.gpkg"):
        assert run("convert", stick, tmp_path / target).code == 0
        back = taskdata.read(tmp_path / target).lossless
        assert sorted(back.others) == sorted(taskdata.read(OFFICE).lossless.others)


def test_find_sets_from_python(stick: Path) -> None:
    found = taskdata.find_sets(stick)
    assert [taskdata.read(path).version for path in found] == [
        taskdata.read(path).version for path in (OFFICE, OLDER, MACHINE)
    ]
    assert taskdata.find_sets(OFFICE) == (str(OFFICE),)
    assert taskdata.find_sets(stick / "nothing") == (str(stick / "nothing"),)

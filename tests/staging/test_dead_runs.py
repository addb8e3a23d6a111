"""What a run that was killed left is completed or removed by the next one; what a live run has is not touched."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from taskdata.errors import TargetError
from taskdata.staging import putting, renaming, room, staged
from taskdata.staging.owner import Owner, noted, this_process
from tests.staging.test_writing import everything, write


def hidden(folder: Path) -> list[str]:
    """Names of what is half made in a folder."""
    return sorted(item.name for item in folder.iterdir() if item.name.endswith(".part"))


def dead() -> Owner:
    """A process of this computer that has ended."""
    with subprocess.Popen([sys.executable, "-c", ""]) as ended:
        ended.wait()
    return replace(this_process(), pid=ended.pid)


def left_by(owner: Owner, target: Path) -> Path:
    """The room of a target as an owner left it."""
    here = target.with_name(f".{target.name}.part")
    (here / "new").mkdir(parents=True)
    (here / "new" / "half").write_text("half")
    (here / owner.name).touch()
    return here


@pytest.fixture
def die(tmp_path: Path) -> Callable[..., int]:
    """A function that runs code in a process of its own, which kills itself at a call."""

    def run(code: str) -> int:
        begin = """
            import os, sys
            from pathlib import Path
            from taskdata.staging import putting, renaming, room, staged
            def dies(*_, **__): os._exit(9)
        """
        text = textwrap.dedent(begin) + textwrap.dedent(code)
        return subprocess.run([sys.executable, "-c", text], cwd=tmp_path, check=False).returncode

    return run


def test_a_note_says_which_process_it_is() -> None:
    here = this_process()
    assert noted(here.name) == here
    assert not here.is_gone()
    assert noted("owner.txt") is None
    assert replace(here, started="1").is_gone(), "another process has the number by now"
    assert replace(here, boot="1").is_gone(), "the computer was started again"


def test_what_a_dead_run_left_is_removed_by_the_next_one_in_the_folder(tmp_path: Path) -> None:
    left_by(dead(), tmp_path / "a")
    write(tmp_path / "b")
    assert everything(tmp_path) == {"b": "new"}


@pytest.mark.parametrize("change", [{}, {"host": "elsewhere-00000000"}, {"space": "1"}])
def test_what_may_be_of_a_live_run_stays(change: dict[str, str], tmp_path: Path) -> None:
    """Of this very process, of one on another computer, and of one in another container."""
    owner = replace(dead() if change else this_process(), **change)
    here = left_by(owner, tmp_path / "a")
    before = everything(tmp_path)
    with pytest.raises(TargetError, match=f"is being written by another run \\(process {owner.pid} on ") as caught:
        write(tmp_path / "a")
    assert str(here) in str(caught.value)
    assert everything(tmp_path) == before
    write(tmp_path / "b")
    assert hidden(tmp_path) == [here.name]


def test_a_folder_of_somebody_else_with_such_a_name_stays(tmp_path: Path) -> None:
    (tmp_path / ".mine.part").mkdir()
    (tmp_path / ".mine.part" / "film").write_text("dear")
    (tmp_path / "elsewhere").mkdir()
    left_by(dead(), tmp_path / "elsewhere" / "x")
    (tmp_path / ".link.part").symlink_to(tmp_path / "elsewhere" / ".x.part")
    write(tmp_path / "a")
    assert hidden(tmp_path) == [".link.part", ".mine.part"]
    assert (tmp_path / ".mine.part" / "film").read_text() == "dear"
    assert (tmp_path / "elsewhere" / ".x.part" / "new" / "half").exists()


def test_a_run_that_dies_while_it_makes_its_room_leaves_nothing_for_good(
    die: Callable[..., int], tmp_path: Path
) -> None:
    for at in ("touch", "rename"):
        assert die(f"Path.{at} = dies\nwith staged('a') as fresh: pass") == 9
    assert len(hidden(tmp_path)) == 1, "the second run removed what the first one left"
    write(tmp_path / "a")
    assert everything(tmp_path) == {"a": "new"}


def test_a_run_that_dies_while_it_removes_its_room_leaves_nothing_for_good(
    die: Callable[..., int], tmp_path: Path
) -> None:
    assert die("import shutil\nshutil.rmtree = dies\nwith staged('a') as fresh: fresh.write_text('first')") == 9
    assert len(hidden(tmp_path)) == 1
    write(tmp_path / "a", overwrite=True)
    assert everything(tmp_path) == {"a": "new"}


FOLDER = """
    renaming._CALLS = {}
    def foreign(*_): return []
    real, count = putting.rename_new, 0
    import pathlib
    rename = pathlib.Path.rename
    def dying(*given):
        global count
        count += 1
        if count > AT: os._exit(9)
        return rename(*given)
    def ready():
        pathlib.Path.rename = dying
    with staged('a', overwrite=True, foreign=foreign) as fresh:
        fresh.mkdir()
        (fresh / 'x').write_text('new')
        ready()
"""


@pytest.mark.parametrize("at", range(5))
def test_a_folder_without_an_exchange_is_whole_after_the_next_run(
    at: int, die: Callable[..., int], tmp_path: Path
) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x").write_text("old")
    code = die(FOLDER.replace("AT", str(at)))
    write(tmp_path / "b")
    assert everything(tmp_path) == {"a": None, "a/x": "new", "b": "new"}
    assert code == (9 if at < 3 else 0), "two renamings into place, and one when the room goes"


SHAPE = """
    import pathlib
    rename, count = pathlib.Path.rename, 0
    renaming._CALLS = {}
    def dying(*given):
        global count
        count += 1
        if count > AT: os._exit(9)
        return rename(*given)
    with staged('a.shp', overwrite=True, beside=['a.dbf', 'a.prj']) as fresh:
        for name in ('a.shp', 'a.dbf'):
            fresh.with_name(name).write_text('new')
        pathlib.Path.rename = dying
"""


@pytest.mark.parametrize("at", range(7))
@pytest.mark.parametrize("before", [True, False])
def test_files_of_one_target_are_never_mixed(at: int, before: bool, die: Callable[..., int], tmp_path: Path) -> None:
    if before:
        for name in ("a.shp", "a.dbf", "a.prj"):
            (tmp_path / name).write_text("old")
    die(SHAPE.replace("AT", str(at)))
    found = {name: text for name, text in everything(tmp_path).items() if name in {"a.shp", "a.dbf", "a.prj"}}
    if "a.shp" in found:
        assert len(set(found.values())) == 1, "with the main file all are of one run"
        assert len(found) == (2 if found["a.shp"] == "new" else 3)
    write(tmp_path / "b")
    assert everything(tmp_path) == {"a.dbf": "new", "a.shp": "new", "b": "new"}


def test_what_came_meanwhile_is_not_replaced_when_a_run_is_completed(die: Callable[..., int], tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x").write_text("old")
    assert die(FOLDER.replace("AT", "1")) == 9
    assert hidden(tmp_path) == [".a.part"]
    (tmp_path / "a").write_text("of somebody else")
    before = everything(tmp_path)
    with pytest.raises(TargetError, match="an earlier run was stopped while it replaced it"):
        write(tmp_path / "a", overwrite=True)
    after = everything(tmp_path)
    assert [text for text in after.values() if text] == [text for text in before.values() if text]
    write(tmp_path / "b")


@pytest.mark.parametrize("names", [["../a"], ["/etc/passwd"], [".."], [""], "abc", [1], {}])
def test_a_journal_that_names_other_places_is_not_followed(names: object, tmp_path: Path) -> None:
    import json

    (tmp_path / "sub").mkdir()
    (tmp_path / "a").write_text("mine")
    here = left_by(dead(), tmp_path / "sub" / "t")
    (here / "old").mkdir()
    (here / "journal.json").write_text(json.dumps({"names": names, "put": []}))
    write(tmp_path / "sub" / "b")
    assert (tmp_path / "a").read_text() == "mine"
    assert everything(tmp_path / "sub") == {"b": "new"}


def test_an_exchange_that_the_file_system_does_not_know_is_done_in_steps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(renaming, "_CALLS", {})
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x").write_text("old")
    with staged(tmp_path / "a", overwrite=True, foreign=lambda *_: []) as fresh:
        fresh.mkdir()
        (fresh / "x").write_text("new")
    assert everything(tmp_path) == {"a": None, "a/x": "new"}
    with pytest.raises(FileExistsError):
        renaming.rename_new(tmp_path / "a", tmp_path / "a")


def test_a_replacement_that_can_neither_be_completed_nor_undone_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The medium fails while files are renamed, and again while that is undone."""
    monkeypatch.setattr(renaming, "_CALLS", {})
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x").write_text("old")
    rename = Path.rename

    def failing(self: Path, target: Path) -> Path:
        if self.parent.name in {"new", "old"}:
            raise OSError(5, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", failing)
    with pytest.raises(TargetError, match="Input/output error"):
        write(tmp_path / "a", overwrite=True, foreign=lambda *_: [])
    monkeypatch.undo()
    assert (tmp_path / ".a.part" / "old" / "a" / "x").read_text() == "old"
    with pytest.raises(TargetError, match="Look into that folder"):
        write(tmp_path / "a", overwrite=True)


def test_files_and_folders_are_on_the_medium_before_they_are_renamed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    opened, sync = {}, os.fsync
    open_file = os.open

    def opening(path: str | Path, *given: int) -> int:
        handle = open_file(path, *given)
        opened[handle] = Path(path).name
        return handle

    def syncing(handle: int) -> None:
        told.append(opened.get(handle, "?"))
        sync(handle)

    real = putting.rename_new

    def renamed(path: Path, place: Path) -> None:
        told.append("renamed")
        real(path, place)

    monkeypatch.setattr(os, "open", opening)
    monkeypatch.setattr(os, "fsync", syncing)
    monkeypatch.setattr(putting, "rename_new", renamed)
    with staged(tmp_path / "deep" / "a") as fresh:
        fresh.mkdir()
        (fresh / "x").write_text("new")
    assert told == ["x", "a", "new", "renamed", "deep", tmp_path.name]


@pytest.mark.parametrize("code", [22, 38, 95])
def test_a_file_system_that_cannot_flush_is_told_apart_from_a_medium_that_fails(
    code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Invalid argument, not implemented, not supported: nobody can do more; input/output error: the target fails."""

    def failing(number: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", lambda _: failing(code))
    write(tmp_path / "a")
    monkeypatch.setattr(os, "fsync", lambda _: failing(5))
    with pytest.raises(TargetError, match="Input/output error"):
        write(tmp_path / "b")
    assert everything(tmp_path) == {"a": "new"}


def test_two_runs_of_one_target_never_both_write_it(tmp_path: Path) -> None:
    with staged(tmp_path / "a", overwrite=True) as fresh:
        fresh.write_text("first")
        with pytest.raises(TargetError, match="is being written by another run"):
            write(tmp_path / "a", overwrite=True)
    assert everything(tmp_path) == {"a": "first"}


def test_of_two_runs_that_find_what_a_dead_one_left_one_takes_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    owner = dead()
    here = left_by(owner, tmp_path / "a")
    (here / owner.name).rename(here / this_process().name)  # another run has taken it between look and hand
    monkeypatch.setattr(room, "_owner_of", lambda _: owner)
    with pytest.raises(TargetError):
        write(tmp_path / "a")
    assert (here / "new" / "half").exists()

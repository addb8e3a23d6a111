"""Targets appear whole or not at all, and what stood there before survives a failure."""

import os
from pathlib import Path

import pytest

from taskdata.errors import TargetError
from taskdata.staging import putting, staged


def everything(folder):
    """Return every path below a folder with its content."""
    return {
        str(item.relative_to(folder)): item.read_text() if item.is_file() else None
        for item in sorted(folder.rglob("*"))
        if item.exists()
    }


def write(target, text="new", **options):
    with staged(target, **options) as fresh:
        assert not Path(target).exists() or options.get("overwrite")
        fresh.write_text(text)


def run(target, work, **options):
    with staged(target, **options) as fresh:
        work(fresh)


def test_a_file_appears_when_the_block_ends(tmp_path):
    write(tmp_path / "a.json")
    assert everything(tmp_path) == {"a.json": "new"}


def test_a_folder_appears_when_the_block_ends(tmp_path):
    with staged(str(tmp_path / "deep" / "er" / "set")) as fresh:
        fresh.mkdir()
        (fresh / "x").write_text("1")
        assert not (tmp_path / "deep" / "er" / "set").exists()
    assert everything(tmp_path) == {"deep": None, "deep/er": None, "deep/er/set": None, "deep/er/set/x": "1"}


@pytest.mark.parametrize("name", ["a", "new", "old", "replaced", "n" * 200, "ü \U0001f69c", ".hidden", "-x"])
def test_any_name_can_be_replaced(tmp_path, name):
    (tmp_path / name).write_text("before")
    write(tmp_path / name, overwrite=True)
    assert everything(tmp_path) == {name: "new"}


def test_an_existing_target_is_refused(tmp_path):
    (tmp_path / "a").write_text("before")
    with pytest.raises(TargetError, match="exists already") as caught:
        write(tmp_path / "a")
    assert "\n" not in str(caught.value)
    assert everything(tmp_path) == {"a": "before"}


def test_a_dangling_link_counts_as_a_target(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "nowhere")
    with pytest.raises(TargetError, match="exists already"):
        write(tmp_path / "a")
    assert os.readlink(tmp_path / "a") == str(tmp_path / "nowhere")


def test_a_folder_of_other_things_is_not_replaced(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "photo").write_text("dear")
    with pytest.raises(TargetError, match="was not written by this program"):
        write(tmp_path / "a", overwrite=True)
    assert everything(tmp_path) == {"a": None, "a/photo": "dear"}


def test_a_folder_is_replaced_where_the_caller_knows_it(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "old.bin").write_text("1")
    write(tmp_path / "a", overwrite=True, foreign=lambda place, _: [] if (place / "old.bin").exists() else ["x"])
    assert everything(tmp_path) == {"a": "new"}


class BoomError(Exception):
    """A failure in the middle of writing."""


@pytest.mark.parametrize("failure", [BoomError, KeyboardInterrupt, TargetError])
@pytest.mark.parametrize("before", [{}, {"deep": None, "deep/a": "before"}])
def test_a_failure_leaves_everything_as_it_was(tmp_path, failure, before):
    if before:
        (tmp_path / "deep").mkdir()
        (tmp_path / "deep" / "a").write_text("before")

    def half(fresh):
        fresh.mkdir()
        (fresh / "half").write_text("half")
        raise failure("x")

    with pytest.raises(failure):
        run(tmp_path / "deep" / "a", half, overwrite=True)
    assert everything(tmp_path) == before


def test_a_failure_of_the_disk_is_told_in_one_line(tmp_path):
    with pytest.raises(TargetError, match="could not be written") as caught, staged(tmp_path / "x" / "y" / "a"):
        raise OSError(28, "No space left on device")
    assert "No space left on device" in str(caught.value)
    assert everything(tmp_path) == {}


def test_a_block_that_writes_nothing_fails_and_keeps_the_old_target(tmp_path):
    (tmp_path / "a").write_text("before")
    with pytest.raises(TargetError), staged(tmp_path / "a", overwrite=True):
        pass
    assert everything(tmp_path) == {"a": "before"}


def test_a_replaced_link_comes_back_when_the_block_writes_nothing(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "nowhere")
    with pytest.raises(TargetError), staged(tmp_path / "a", overwrite=True, foreign=lambda *_: []):
        pass
    assert os.readlink(tmp_path / "a") == str(tmp_path / "nowhere")


def test_a_target_that_appears_meanwhile_is_not_replaced(tmp_path):
    def overtaken(fresh):
        fresh.write_text("new")
        (tmp_path / "a").write_text("of somebody else")

    with pytest.raises(TargetError, match="exists already"):
        run(tmp_path / "a", overtaken)
    assert everything(tmp_path) == {"a": "of somebody else"}


def test_a_parent_that_is_a_file_is_told(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(TargetError):
        write(tmp_path / "file" / "deep" / "a")
    with pytest.raises(TargetError):
        write(tmp_path / ("x" * 300) / "a")
    with pytest.raises(TargetError):
        write(tmp_path / "y" / ("x" * 300))
    assert everything(tmp_path) == {"file": "x"}


def test_other_files_in_a_new_parent_keep_it(tmp_path):
    def disturbed(_):
        (tmp_path / "p" / "other").write_text("x")
        raise BoomError

    with pytest.raises(BoomError):
        run(tmp_path / "p" / "a", disturbed)
    assert everything(tmp_path) == {"p": None, "p/other": "x"}


def test_targets_beside_the_working_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    write("a")
    write(Path("sub/b"))
    with pytest.raises(TargetError):
        write(".", overwrite=True)
    assert everything(tmp_path) == {"a": "new", "sub": None, "sub/b": "new"}


def shape(target, *names, **options):
    """Write a target and files beside it, of which `beside` says what may be there."""
    with staged(target, beside=["a.dbf", "a.prj"], **options) as fresh:
        fresh.write_text("new")
        for name in names:
            fresh.with_name(name).write_text("new")


def test_files_that_belong_to_a_target_come_and_go_with_it(tmp_path):
    (tmp_path / "a.txt").write_text("mine")
    shape(tmp_path / "a.shp", "a.dbf", "a.prj")
    assert everything(tmp_path) == {"a.dbf": "new", "a.prj": "new", "a.shp": "new", "a.txt": "mine"}
    for name in ("a.dbf", "a.prj", "a.shp"):
        (tmp_path / name).write_text("before")
    shape(tmp_path / "a.shp", "a.dbf", overwrite=True)
    assert everything(tmp_path) == {"a.dbf": "new", "a.shp": "new", "a.txt": "mine"}


def test_a_file_that_would_belong_to_the_target_is_not_replaced_alone(tmp_path):
    (tmp_path / "a.dbf").write_text("a table of somebody")
    for overwrite in (False, True):
        with pytest.raises(TargetError, match=r"a\.dbf: exists already, and is not replaced"):
            shape(tmp_path / "a.shp", "a.dbf", overwrite=overwrite)
    assert everything(tmp_path) == {"a.dbf": "a table of somebody"}


def test_all_of_them_come_back_when_one_cannot_be_put_in_place(tmp_path, monkeypatch):
    for name in ("a.dbf", "a.prj", "a.shp"):
        (tmp_path / name).write_text("before")
    before = everything(tmp_path)
    rename = putting.rename_new

    def failing(path, target):
        if path.name == "a.prj":
            raise OSError(28, "No space left on device")
        return rename(path, target)

    monkeypatch.setattr(putting, "rename_new", failing)
    with pytest.raises(TargetError, match="No space left"):
        shape(tmp_path / "a.shp", "a.dbf", "a.prj", overwrite=True)
    assert everything(tmp_path) == before

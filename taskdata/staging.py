"""Targets are written whole or not at all: beside their place first, then renamed into it."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from taskdata.errors import TargetError, TaskdataError
from taskdata.paths import target_path


@contextmanager
def staged(
    target: str | os.PathLike[str],
    *,
    overwrite: bool = False,
    replaceable: Callable[[Path], bool] = Path.is_file,
    beside: Sequence[str] = (),
) -> Iterator[Path]:
    """Give a path to write to; put what stands there into the place of ``target`` when the block ends well.

    Parameters
    ----------
    target : path
        File or folder to make; missing parents are made, and removed again when the block fails.
    overwrite : bool
        Allow that an existing target is replaced.
    replaceable : callable
        Asked of an existing target before it is replaced, so that a folder of other things is never deleted.
    beside : sequence of str
        Names of files that belong to the target: the block may write them beside the path that it is given, and they
        come and go with it.

    Raises
    ------
    TargetError
        The target exists and may not be replaced, or the disk reported an error.
    """
    place = Path(target)
    others = [place.with_name(name) for name in beside]
    made: list[Path] = []
    try:
        _refuse_existing(place, others, overwrite, replaceable)
        _make_parents(place.parent, made)
        with _beside(place) as room:
            fresh = room / "new" / place.name
            with _unnamed(fresh, room, place):
                yield fresh
                _refuse_existing(place, others, overwrite, replaceable)
                _put(fresh, [place, *others], room / "old")
    except OSError as error:
        _remove_empty(made)
        raise TargetError(
            "could not be written", where=place, why=error.strerror or "the disk reported an error"
        ) from error
    except BaseException:
        _remove_empty(made)
        raise


@contextmanager
def _unnamed(fresh: Path, room: Path, place: Path) -> Iterator[None]:
    """Let no failure name the room that a target is made in: it is gone when the message is read."""
    try:
        yield
    except TaskdataError as error:
        error.reword(partial(_told_as, fresh=fresh, room=room, place=place))
        raise


def _told_as(text: str, fresh: Path, room: Path, place: Path) -> str:
    """Return a text in which a path in the room is the place that it is made for, and what lies in it is below it."""
    for path, rest, name in ((fresh, "", place), (room, r"[^\s'\",:;)]*", place.parent)):
        for spelled in sorted({str(path), str(path.absolute()), str(path.resolve())}, key=len, reverse=True):
            text = str(name).join(re.split(re.escape(spelled) + rest, text))
    return text


def write_text(target: str | os.PathLike[str], text: str) -> None:
    """Write a new text file in UTF-8, whole or not at all; an existing file is never replaced.

    Raises
    ------
    TargetError
        The file exists, or the disk reported an error.
    """
    if os.path.lexists(target_path(target)):
        raise TargetError("exists already", where=target, remedy="Name another file, or move this one away")
    with staged(target) as fresh:
        fresh.write_text(text, encoding="utf-8", newline="\n")


def _refuse_existing(place: Path, others: Sequence[Path], overwrite: bool, replaceable: Callable[[Path], bool]) -> None:
    if os.path.lexists(place):
        if not overwrite:
            raise TargetError("exists already", where=place, remedy="Name another target, or allow [[overwrite]]")
        if not replaceable(place):
            raise TargetError(
                "holds other files than a target of this kind, and is not replaced",
                where=place,
                remedy="Name another target, or move the other files away",
            )
        return
    there = next((item for item in others if os.path.lexists(item)), None)
    if there is not None:
        raise TargetError(
            "exists already, and is not replaced",
            where=there,
            why=f"it would belong to {place.name}, which does not exist",
            remedy="Name another target, or move it away",
        )


def _make_parents(folder: Path, made: list[Path]) -> None:
    """Make missing folders; note them in ``made``, innermost first."""
    missing = [item for item in (folder, *folder.parents) if not item.exists()]
    try:
        for item in reversed(missing):
            item.mkdir(exist_ok=True)
            made.insert(0, item)
    except OSError as error:
        raise TargetError("cannot be made", where=folder, why=error.strerror or str(error)) from error


def _remove_empty(folders: list[Path]) -> None:
    for folder in folders:
        try:
            folder.rmdir()
        except OSError:
            return


@contextmanager
def _beside(place: Path) -> Iterator[Path]:
    try:
        room = Path(tempfile.mkdtemp(prefix=f".{place.name[:40]}.", suffix=".part", dir=place.parent))
        (room / "new").mkdir()
    except OSError as error:
        raise TargetError("cannot be written to", where=place.parent, why=error.strerror or str(error)) from error
    try:
        yield room
    finally:
        shutil.rmtree(room, ignore_errors=True)


def _put(fresh: Path, places: Sequence[Path], old: Path) -> None:
    """Rename what was made into its places; what stands there goes to ``old`` first, and back if a renaming fails."""
    old.mkdir()
    moved, put = [], []
    try:
        for place in places:
            if os.path.lexists(place):
                place.rename(old / place.name)
                moved.append(place)
        for place in places:
            new = fresh.with_name(place.name)
            if new == fresh or os.path.lexists(new):
                new.rename(place)
                put.append(place)
    except OSError:
        for place in put:
            place.rename(fresh.with_name(place.name))
        for place in moved:
            (old / place.name).rename(place)
        raise

"""A target as a block of code writes it: its room given, refusals told, the result put in place."""

from __future__ import annotations

import errno
import os
import re
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from types import MappingProxyType

from taskdata.amounts import listed_in_part
from taskdata.errors import TargetError, TaskdataError
from taskdata.paths import target_path
from taskdata.staging.flushing import flush
from taskdata.staging.putting import NEW, put
from taskdata.staging.room import room_for

_ELSEWHERE = "Name another folder, or let this user write there"
_FULL = frozenset({errno.ENOSPC, errno.EDQUOT})

Foreign = Callable[[Path, Path], Sequence[str]]
"""Given an existing target and what would replace it, returns what of the existing one this program did not write."""

NOTHING: Mapping[str, Foreign] = MappingProxyType({})


def regular_file(place: Path, _: Path) -> Sequence[str]:
    """Return what stands at a place unless it is a file, and no link to one."""
    return () if stat.S_ISREG(place.lstat().st_mode) else (place.name,)


@contextmanager
def staged(
    target: str | os.PathLike[str],
    *,
    overwrite: bool = False,
    foreign: Foreign = regular_file,
    beside: Sequence[str] = (),
    with_it: Mapping[str, Foreign] = NOTHING,
) -> Iterator[Path]:
    """Give a path to write to; put what stands there into the place of ``target`` when the block ends well.

    Parameters
    ----------
    target : path
        File or folder to make; missing parents are made, and removed again when the block fails.
    overwrite : bool
        Allow that an existing target is replaced.
    foreign : callable
        Asked of an existing target before it is replaced; it stays as it is where that names anything.
    beside : sequence of str
        Names of files that belong to the target: the block may write them beside the path that it is given, and they
        come and go with it.
    with_it : mapping of str to callable
        Names of files and folders that are put in place together with the target, such as what tells how it was made;
        the block may write them as those of ``beside``. The callable is asked of what stands under that name, as
        ``foreign`` of the target.

    Raises
    ------
    TargetError
        The target exists and may not be replaced, another run writes it, or the disk reported an error.
    """
    place = _spelled_out(Path(target))
    names = [place.name, *beside]
    made: list[Path] = []
    try:
        if not overwrite and os.path.lexists(place):
            raise _exists(place)
        _make_parents(place.parent, made)
        with _room_for(place) as room:
            fresh = room / NEW / place.name
            _refuse_existing(place, names, overwrite, with_it)
            with _unnamed(fresh, room, place):
                yield fresh
                _refuse_existing(place, names, overwrite, with_it)
                for name, asked in {place.name: foreign, **with_it}.items():
                    _refuse_foreign(place.with_name(name), fresh.with_name(name), asked)
                put(room, [*names, *with_it])
        for folder in made:
            flush(folder.parent)
    except OSError as error:
        _remove_empty(made)
        raise _failure(place, error) from error
    except BaseException:
        _remove_empty(made)
        raise


def _spelled_out(place: Path) -> Path:
    """Return a path that ends in a name: of the current folder, the one above and the root the whole path."""
    if place.name in {"", ".."}:
        place = Path(os.path.abspath(place))
    if not place.name:
        raise TargetError("cannot be replaced", where=place, remedy="Name a folder in it")
    return place


@contextmanager
def _room_for(place: Path) -> Iterator[Path]:
    """Give the room of a target, and say of a folder that it cannot be written to."""
    opened = False
    try:
        with room_for(place) as room:
            opened = True
            yield room
    except OSError as error:
        if opened:
            raise
        why = error.strerror or str(error)
        raise TargetError("cannot be written to", where=place.parent, why=why, remedy=_ELSEWHERE) from error


def _failure(place: Path, error: OSError) -> TargetError:
    if isinstance(error, FileExistsError) and error.filename == str(place):
        return TargetError("was made by something else meanwhile", where=place, remedy="Name another target")
    remedy = "Make room there, or name another folder" if error.errno in _FULL else _ELSEWHERE
    why = error.strerror or "the disk reported an error"
    return TargetError("could not be written", where=place, why=why, remedy=remedy)


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


def _exists(place: Path) -> TargetError:
    return TargetError("exists already", where=place, remedy="Name another target, or allow [[overwrite]]")


def _refuse_existing(place: Path, names: Sequence[str], overwrite: bool, with_it: Iterable[str]) -> None:
    for name in () if overwrite else with_it:
        if os.path.lexists(place.with_name(name)):
            raise _exists(place.with_name(name))
    if os.path.lexists(place):
        if not overwrite:
            raise _exists(place)
        return
    there = next((item for name in names if os.path.lexists(item := place.with_name(name))), None)
    if there is not None:
        raise TargetError(
            "exists already, and is not replaced",
            where=there,
            why=f"it would belong to {place.name}, which does not exist",
            remedy="Name another target, or move it away",
        )


def _refuse_foreign(place: Path, fresh: Path, foreign: Foreign) -> None:
    found = foreign(place, fresh) if os.path.lexists(place) else ()
    if found:
        only_itself = list(found) == [place.name]
        raise TargetError(
            "was not written by this program, and is not replaced"
            if only_itself
            else f"holds other files than this program wrote, and is not replaced: {listed_in_part(found)}",
            where=place,
            remedy=f"Name another target, or move {'it' if only_itself else 'them'} away",
        )


def _make_parents(folder: Path, made: list[Path]) -> None:
    """Make missing folders; note them in ``made``, innermost first."""
    missing = [item for item in (folder, *folder.parents) if not item.exists()]
    try:
        for item in reversed(missing):
            item.mkdir(exist_ok=True)
            made.insert(0, item)
    except OSError as error:
        why = error.strerror or str(error)
        raise TargetError("cannot be made", where=folder, why=why, remedy=_ELSEWHERE) from error


def _remove_empty(folders: list[Path]) -> None:
    for folder in folders:
        try:
            folder.rmdir()
        except OSError:
            return

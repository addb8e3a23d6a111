"""The room beside its place in which a target is made: one for a target at a time, and none left by a dead run."""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

from taskdata.errors import TargetError
from taskdata.paths import ROOM_ENDING
from taskdata.staging.holding import undisturbed
from taskdata.staging.owner import Owner, noted, noted_in_name, this_process
from taskdata.staging.putting import NEW, complete, is_unfinished

_NUMBERS = count(1)
_LONGEST = 60


@contextmanager
def room_for(place: Path) -> Iterator[Path]:
    """Give the room of a target, after what dead runs left beside it was completed or removed.

    The room has one name for a target, and appears with the note of its owner in it or not at all: of two runs one gets
    it. It is left only where renamings in it could neither be completed nor undone.

    Raises
    ------
    TargetError
        Another run writes this target, or a dead one left what cannot be completed.
    OSError
        The disk reported an error.
    """
    _sweep(place.parent)
    room, claimed = _room_of(place), False
    try:
        with undisturbed():
            _claim(room, place)
            claimed = True
        yield room
    finally:
        if claimed and not is_unfinished(room):
            _remove(room)


def _claim(room: Path, place: Path) -> None:
    fresh = _named_by_owner(room)
    fresh.mkdir()
    try:
        (fresh / NEW).mkdir()
        (fresh / this_process().name).touch()
        fresh.rename(room)
    except OSError:
        shutil.rmtree(fresh, ignore_errors=True)
        if os.path.lexists(room):
            raise _in_use(place, room) from None
        raise


def _room_of(place: Path) -> Path:
    name = place.name
    if len(os.fsencode(name)) > _LONGEST:
        name = f"{name[:12]}-{hashlib.sha256(os.fsencode(name)).hexdigest()[:12]}"
    return place.with_name(f".{name}{ROOM_ENDING}")


def _named_by_owner(room: Path) -> Path:
    """Return another name for a room that notes this process, so that it can be told whenever the process ends."""
    return room.with_name(f"{room.name.removesuffix(ROOM_ENDING)}.{this_process().name}.{next(_NUMBERS)}{ROOM_ENDING}")


def _in_use(place: Path, room: Path) -> TargetError:
    owner = _owner_of(room)
    if owner is None or (owner.pid == os.getpid() and is_unfinished(room)):
        return TargetError(
            "cannot be written",
            where=place,
            why=f"an earlier run was stopped while it replaced it, and left {room}",
            remedy="Look into that folder, move away what you need, and remove it",
        )
    return TargetError(
        "is being written by another run",
        where=place,
        why=f"process {owner.pid} on {owner.host.rpartition('-')[0]}",
        remedy=f"Wait until it ends; if it no longer runs, remove {room}",
    )


def _sweep(folder: Path) -> None:
    """Complete or remove what runs left that are certain to have ended, of this user on this computer alone."""
    with os.scandir(folder) as items:
        names = [item.name for item in items if item.name.startswith(".") and item.name.endswith(ROOM_ENDING)]
    for name in names:
        with suppress(OSError):
            _sweep_room(folder / name)


def _sweep_room(room: Path) -> None:
    facts = room.lstat()
    if not stat.S_ISDIR(facts.st_mode) or (hasattr(os, "getuid") and facts.st_uid != os.getuid()):
        return
    owner = _owner_of(room)
    if owner is None or not owner.is_gone():
        return
    if noted_in_name(room.name):
        shutil.rmtree(room, ignore_errors=True)
        return
    (room / owner.name).rename(room / this_process().name)  # of two runs that find it one can do this
    if complete(room):
        _remove(room)


def _owner_of(room: Path) -> Owner | None:
    named = noted_in_name(room.name)
    if named is not None:
        return named
    try:
        return next(filter(None, map(noted, os.listdir(room))), None)
    except OSError:
        return None


def _remove(room: Path) -> None:
    """Remove a room; from the first step on it is no target's room, and its name says whose it was."""
    with suppress(OSError), undisturbed():
        shutil.rmtree(room.rename(_named_by_owner(room)), ignore_errors=True)

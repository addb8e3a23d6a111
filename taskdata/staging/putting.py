"""What was made into its place: in one step where the system can, else by a journal that the next run completes.

Several files of one target, or a folder on a file system that cannot exchange two, take several renamings. What stands
there goes away first, the file that gives the target its name before the others, and comes last of what is put there:
at no moment do files of the old and the new target stand together under that name. A journal in the room says what is
under way; whoever finds it completes it, since everything new was on the medium before it was begun.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

from taskdata import strict_json
from taskdata.dataclass import dataclass
from taskdata.staging.flushing import flush, flush_all
from taskdata.staging.holding import undisturbed
from taskdata.staging.renaming import exchange, rename_new
from taskdata.visible import visible_json

NEW = "new"
"""Folder in a room in which a target is made."""

_OLD, _JOURNAL = "old", "journal.json"


@dataclass(frozen=True, slots=True)
class _Journal:
    """Names of all files of a target, the one that gives it its name first, and of those that are put there."""

    names: tuple[str, ...]
    put: tuple[str, ...]


def put(room: Path, names: Sequence[str]) -> None:
    """Flush what was made in a room, and put it in place of what stands beside the room under these names.

    Raises
    ------
    FileExistsError
        Something stands there that came meanwhile.
    OSError
        The disk reported an error; everything is as it was, or a journal is left that says what is to be completed.
    """
    fresh, place = room / NEW / names[0], room.parent / names[0]
    (room / _OLD).mkdir()
    flush_all(room / NEW)
    with undisturbed():
        alone = not any(os.path.lexists(folder / name) for name in names[1:] for folder in (room / NEW, room.parent))
        if not (alone and _in_one_step(fresh, place)):
            _in_steps(room, names)
    flush(room.parent)


def is_unfinished(room: Path) -> bool:
    """Tell whether a room holds a journal of renamings that were not completed."""
    return os.path.lexists(room / _JOURNAL)


def complete(room: Path) -> bool:
    """Complete what a run that was killed began; return False where something else stands there by now.

    Raises
    ------
    OSError
        The disk reported an error.
    """
    journal = _read(room)
    if journal is None:  # it was not even on the medium: nothing was renamed
        return True
    if any(all(os.path.lexists(folder / name) for folder in _sides(room)) for name in journal.names):
        return False
    with undisturbed():
        _carry_out(room, journal)
    return True


def _sides(room: Path) -> tuple[Path, Path, Path]:
    return room / NEW, room / _OLD, room.parent


def _in_one_step(fresh: Path, place: Path) -> bool:
    """Put one file or folder in place; return False where that takes several steps."""
    kind = fresh.lstat().st_mode
    if not os.path.lexists(place):
        rename_new(fresh, place)
        return True
    if stat.S_ISREG(kind) and stat.S_ISREG(place.lstat().st_mode):
        fresh.replace(place)
        return True
    return exchange(fresh, place)


def _in_steps(room: Path, names: Sequence[str]) -> None:
    (room / NEW / names[0]).lstat()
    journal = _Journal(tuple(names), tuple(name for name in names if os.path.lexists(room / NEW / name)))
    page = room / _JOURNAL
    page.write_text(visible_json(strict_json.dumps(asdict(journal))), encoding="utf-8")
    flush(page)
    flush(room)
    try:
        _carry_out(room, journal)
    except BaseException:
        _undo(room, journal)
        raise


def _carry_out(room: Path, journal: _Journal) -> None:
    new, old, parent = _sides(room)
    for name in journal.names:
        waits = name not in journal.put or os.path.lexists(new / name)
        if waits and os.path.lexists(parent / name) and not os.path.lexists(old / name):
            (parent / name).rename(old / name)
    for name in reversed(journal.put):
        if os.path.lexists(new / name):
            rename_new(new / name, parent / name)
    flush(parent)
    (room / _JOURNAL).unlink()


def _undo(room: Path, journal: _Journal) -> None:
    new, old, parent = _sides(room)
    for name in journal.put:
        if not os.path.lexists(new / name):
            (parent / name).rename(new / name)
    for name in reversed(journal.names):
        if os.path.lexists(old / name):
            (old / name).rename(parent / name)
    (room / _JOURNAL).unlink()


def _read(room: Path) -> _Journal | None:
    """Return a journal, None where it is none; no name in it leads out of the folder."""
    try:
        page = json.loads((room / _JOURNAL).read_text(encoding="utf-8"))
        names, put_there = (tuple(map(str, page[key])) for key in ("names", "put"))
    except (OSError, ValueError, KeyError, TypeError):
        return None
    plain = all(name == Path(name).name and name not in {"", ".", ".."} for name in (*names, *put_there))
    return _Journal(names, put_there) if plain else None

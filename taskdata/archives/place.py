"""The folder of a catalogue: what in it is its own, and a new state of it beside the old one.

``catalogue.json`` names every file with its size. Files of earlier calls are the same files in the new state, by links
where the file system has them, else copies; so nothing of them is written again.
"""

from __future__ import annotations

import json
import os
import shutil
import stat
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from taskdata import strict_json
from taskdata.amounts import listed_in_part
from taskdata.errors import TargetError
from taskdata.litter import is_litter

REGISTER = "identities.sqlite"
_PAGE = "catalogue.json"
_FORM = 1


def foreign(place: Path, _: Path | None = None) -> Sequence[str]:
    """Return what in a folder is not of a catalogue, or not as a call left it; all of a place that is no folder."""
    if not stat.S_ISDIR(place.lstat().st_mode):
        return (place.name,)
    own = _own(place)
    there = dict(_files(place, ""))
    if own is None:
        return sorted(there)
    return sorted(name for name in {*own, *there} - {_PAGE} if own.get(name) != there.get(name))


def refuse_foreign(place: Path) -> None:
    """Refuse a place where something else than a catalogue stands.

    Raises
    ------
    TargetError
        It does, or a file of the catalogue is missing or changed, or its form is that of another version.
    """
    try:
        found = foreign(place) if os.path.lexists(place) else ()
    except OSError as error:
        raise TargetError("cannot be looked into", where=place, why=error.strerror) from error
    if found:
        what = f"holds other files than a catalogue has, or changed ones: {listed_in_part(found)}"
        raise TargetError(what, where=place, remedy="Name a new folder, or move them away")


def carry_over(place: Path, fresh: Path) -> None:
    """Put what an earlier call wrote into the new state; the register is a copy, since it grows.

    Raises
    ------
    OSError
        The disk reported an error.
    """
    fresh.mkdir()
    for name in _own(place) or ():
        target = fresh / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if name == REGISTER or not _linked(place / name, target):
            shutil.copy2(place / name, target)


def sign(fresh: Path) -> None:
    """Write the page that names every file of a catalogue."""
    page = {"program": "taskdata", "catalogue": _FORM, "files": dict(_files(fresh, ""))}
    (fresh / _PAGE).write_text(strict_json.dumps(page, indent=2), encoding="utf-8")


def next_part(place: Path) -> str:
    """Return the name of the files that the next call writes."""
    numbers = [int(Path(name).stem.partition("-")[2]) for name in _own(place) or () if name.endswith(".parquet")]
    return f"part-{max(numbers, default=0) + 1:06}.parquet"


def _linked(path: Path, target: Path) -> bool:
    try:
        os.link(path, target)
    except OSError:  # FAT and some network file systems have no such links
        return False
    return True


def _own(place: Path) -> Mapping[str, int] | None:
    """Return the files of a catalogue with their sizes, None where there is none."""
    try:
        page = json.loads((place / _PAGE).read_text(encoding="utf-8"))
        whole = page["program"] == "taskdata" and page["catalogue"] == _FORM
        return {str(name): int(size) for name, size in page["files"].items()} if whole else None
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _files(folder: Path, before: str) -> Iterator[tuple[str, int]]:
    """Yield each file below a folder with its size; what is neither file nor folder counts as a file of size -1."""
    for item in sorted(folder.iterdir()):
        facts = item.lstat()
        if is_litter(item.name):
            continue
        if stat.S_ISDIR(facts.st_mode):
            yield from _files(item, f"{before}{item.name}/")
        else:
            yield f"{before}{item.name}", facts.st_size if stat.S_ISREG(facts.st_mode) else -1

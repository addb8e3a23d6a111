"""Where results of a batch go: a folder of this machine, or one on any file system that fsspec knows.

In it lie ``results/3F/NAME...``, what was written of each source, and ``finished/3F/NAME.json``, written after it: a
result counts when its record is there. The folders between are two digits of the name, so that none holds too many
files to be looked through. ``batch.json`` says which command the folder is of.
"""

from __future__ import annotations

import shutil
import uuid
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from importlib import import_module
from pathlib import Path
from typing import Protocol, cast

from taskdata import strict_json
from taskdata.errors import TargetError, unfit
from taskdata.paths import ROOM_ENDING
from taskdata.staging.flushing import flush

MARK = "batch.json"
_REMOTE = "taskdata.batches.remote"
"""Loaded by name for URLs alone: fsspec is an extra."""


class Outlet(Protocol):
    """A folder of results; paths in it are relative, with ``/``."""

    @property
    def where(self) -> str:
        """Its path or URL."""
        ...

    def is_empty(self) -> bool:
        """Tell whether nothing is there yet."""
        ...

    def holds(self, path: str) -> bool:
        """Tell whether a file or folder is there."""
        ...

    def read(self, path: str) -> str | None:
        """Return the text of a file, None where it is not there or cannot be read."""
        ...

    def write(self, path: str, content: bytes) -> None:
        """Write a file, whole or not at all, whether it is there or not.

        Raises
        ------
        TargetError
            It could not be written.
        """
        ...

    def room(self, path: str) -> AbstractContextManager[Path]:
        """Give a path of this machine for what is to be written there, without an ending."""
        ...


class DiskOutlet:
    """A folder of this machine."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @property
    def where(self) -> str:
        """Its path."""
        return str(self.folder)

    def is_empty(self) -> bool:
        """Tell whether nothing is there yet."""
        try:
            return not self.folder.exists() or not any(self.folder.iterdir())
        except OSError as error:
            raise TargetError("cannot be written to", where=self.folder, why=unfit(error)) from error

    def holds(self, path: str) -> bool:
        """Tell whether a file or folder is there."""
        return (self.folder / path).exists()

    def read(self, path: str) -> str | None:
        """Return the text of a file, None where it is not there or cannot be read."""
        try:
            return (self.folder / path).read_text(encoding="utf-8")
        except (OSError, ValueError):
            return None

    def write(self, path: str, content: bytes) -> None:
        """Write a file beside its place, flush it, and rename it; of two that do so at once the later one counts."""
        place = self.folder / path
        fresh = place.with_name(f".{place.name}.{uuid.uuid4().hex}")
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            fresh.write_bytes(content)
            flush(fresh)
            fresh.replace(place)
        except OSError as error:
            raise TargetError("could not be written", where=place, why=unfit(error)) from error
        finally:
            fresh.unlink(missing_ok=True)

    @contextmanager
    def room(self, path: str) -> Iterator[Path]:
        """Give the place itself: commands write whole or not at all.

        What a killed worker, of whatever computer, left there is removed: a source is one worker's at a time.
        """
        place = self.folder / path
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise TargetError("cannot be made", where=place.parent, why=unfit(error)) from error
        for left in (*place.parent.glob(f".{place.name}*{ROOM_ENDING}"), *place.glob(f".*{ROOM_ENDING}")):
            shutil.rmtree(left, ignore_errors=True)
        yield place


def result_path(name: str) -> str:
    """Return where the result of a name goes, without an ending."""
    return f"results/{_digits(name)}/{name}"


def record_path(name: str) -> str:
    """Return where it is noted that the source of a result is finished."""
    return f"finished/{_digits(name)}/{name}.json"


def _digits(name: str) -> str:
    return name.rpartition("-")[2][:2]


def outlet_at(out: str) -> Outlet:
    """Return the folder of results at an absolute path or a URL.

    Raises
    ------
    UsageError
        There is no such file system, or fsspec is not installed.
    """
    if "://" not in out:
        return DiskOutlet(Path(out))
    return cast(Outlet, import_module(_REMOTE).RemoteOutlet(out))


def claim(outlet: Outlet, command: str) -> None:
    """Make the folder one of batches of that command, or go on with one.

    Raises
    ------
    TargetError
        Something else is there, or results of another command.
    """
    text = outlet.read(MARK)
    if text is None:
        if not outlet.is_empty():
            remedy = "Name a new folder"
            raise TargetError("holds other files than results of a batch", where=outlet.where, remedy=remedy)
        outlet.write(MARK, strict_json.dumps({"program": "taskdata", "command": command}).encode())
        return
    if text != strict_json.dumps({"program": "taskdata", "command": command}):
        what = f"holds results of another command than {command}"
        raise TargetError(what, where=outlet.where, remedy="Name another folder")

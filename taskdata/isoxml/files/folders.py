"""Folders, on disk or in an archive: what stands in them; a link out of a folder is not followed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, Protocol

from taskdata.errors import SourceError
from taskdata.isoxml.files.blob import Blob, UnreadableFileError
from taskdata.litter import entries

MAIN = "TASKDATA.XML"
FOLDER = "TASKDATA"


class Folder(Protocol):
    """A folder in which a set may lie."""

    @property
    def where(self) -> str:
        """Its path for messages, containers and what lies in them joined by ``/``; accepted as a source."""
        ...

    @property
    def name(self) -> str | None:
        """Its own name, None for the root of an archive."""
        ...

    def files(self) -> tuple[Blob, ...]:
        """Return the files in it, by name.

        Raises
        ------
        OSError
            It may not be looked into.
        """
        ...

    def folders(self) -> tuple[Folder, ...]:
        """Return the folders in it, by name, without those that operating systems leave."""
        ...

    def outside(self) -> tuple[str, ...]:
        """Return the names of links in it that lead out of it."""
        ...

    def refuse_names(self) -> None:
        """Refuse names of files that cannot be those of a set.

        Raises
        ------
        SourceError
            There is such a name.
        """
        ...


class DiskFolder:
    """A folder on disk."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    def where(self) -> str:
        """Its path as it was named."""
        return str(self.path)

    @property
    def name(self) -> str:
        """Its own name, also where it was named as ``.``."""
        return self.path.resolve().name

    def files(self) -> tuple[Blob, ...]:
        """Return the files in it; an entry that the disk cannot tell of does not cost the others."""
        found = (_entry(item) for item in sorted(self.path.iterdir()) if not leads_outside(item))
        return tuple(blob for blob in found if blob is not None)

    def folders(self) -> tuple[DiskFolder, ...]:
        """Return the folders in it; a link counts as long as it stays inside."""
        items = (item for item in entries(self.path) if item.is_dir())
        return tuple(DiskFolder(item) for item in items if not leads_outside(item))

    def outside(self) -> tuple[str, ...]:
        """Return the links that lead out of it."""
        return tuple(item.name for item in sorted(self.path.iterdir()) if leads_outside(item))

    def refuse_names(self) -> None:
        """Refuse nothing: the disk knows each name once."""


def disk_file(path: Path) -> Blob:
    """Return a file on disk."""
    return Blob(path.name, path.stat().st_size, _opener(path))


def _entry(path: Path) -> Blob | None:
    try:
        return disk_file(path) if path.is_file() else None
    except OSError as error:
        return Blob.broken(path.name, error.strerror or str(error))


def main_in(folder: Folder) -> Blob | None:
    """Return the main file in a folder, an exact name first; None without one."""
    found = [blob for blob in folder.files() if blob.name.upper() == MAIN]
    return next((blob for blob in found if blob.name == MAIN), found[0] if found else None)


def inner_folders(folder: Folder) -> list[Folder]:
    """Return the folders in a folder that are called as that of a set and hold one: on a stick one, as a rule."""
    inner = (item for item in folder.folders() if (item.name or "").upper() == FOLDER)
    return [item for item in inner if main_in(item) is not None]


def leads_outside(item: Path) -> bool:
    """Tell whether an entry of a folder is a link to something that does not lie in the folder."""
    if not item.is_symlink():
        return False
    try:
        return item.parent.resolve() not in item.resolve().parents
    except (OSError, RuntimeError):  # links that lead in a circle lead to nothing
        return True


def unreadable(where: str | Path, error: OSError | ValueError) -> SourceError:
    """Return the failure to say of a place that the disk reported an error."""
    why = error.strerror if isinstance(error, OSError) else None
    return SourceError(
        "cannot be read", where=where, why=why or str(error), remedy="Check the path and its permissions"
    )


def _opener(path: Path) -> Callable[[], BinaryIO]:
    def open_file() -> BinaryIO:
        try:
            return path.open("rb")
        except OSError as error:
            why, remedy = error.strerror or str(error), "Check the path and its permissions"
            raise UnreadableFileError("cannot be read", where=path, why=why, remedy=remedy) from None

    return open_file

"""Every set in a folder or archive, at any depth, archives in it included."""

from __future__ import annotations

from dataclasses import field
from pathlib import Path, PurePosixPath
from typing import TypeVar

from taskdata import limits
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.file_formats.contents import ZIP_MARK
from taskdata.isoxml.files.archives import Archive, ArchiveFolder, is_archive_name
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import MAIN, DiskFolder, Folder, unreadable

Item = TypeVar("Item")


@dataclass(frozen=True)
class Surveyed:
    """What was found.

    Parameters
    ----------
    sets : tuple of Folder
        The folders that hold a main file, in the order of their paths.
    closed : tuple of SourceError
        Folders and archives that could not be looked into, and why; a set may lie in them.
    """

    sets: tuple[Folder, ...]
    closed: tuple[SourceError, ...]


@dataclass
class _Walk:
    sets: list[Folder] = field(default_factory=list)
    closed: list[SourceError] = field(default_factory=list)
    entries: int = 0


def survey(folder: Folder) -> Surveyed:
    """Look through a folder, the folders in it and the archives in those; links are not followed.

    Raises
    ------
    SourceError
        It holds more files and folders than can be looked through.
    """
    walk = _Walk()
    _look(folder, walk, 0)
    return Surveyed(tuple(walk.sets), tuple(walk.closed))


def _look(folder: Folder, walk: _Walk, level: int) -> None:
    try:
        files, folders = folder.files(), folder.folders()
    except OSError as error:
        walk.closed.append(unreadable(folder.where, error))
        return
    except SourceError as error:
        walk.closed.append(error)
        return
    walk.entries += len(files) + len(folders)
    many = walk.entries > limits.most("folder_files")
    if many or level > limits.most("folder_levels"):
        name = "folder_files" if many else "folder_levels"
        raise SourceError(
            "holds too many files and folders to search",
            where=folder.where,
            why=limits.told(name),
            remedy=f"Name the folder of the set. {limits.raising(name)}",
        )
    if any(blob.name.upper() == MAIN for blob in files):
        walk.sets.append(folder)
    for item in folders:
        if not (isinstance(item, DiskFolder) and item.path.is_symlink()):
            _look(item, walk, level + 1)
    for blob in files:
        if is_archive_name(blob.name):
            _look_into(folder, blob, walk, level)


def _look_into(folder: Folder, blob: Blob, walk: _Walk, level: int) -> None:
    try:
        archive = archive_in(folder, blob)
    except SourceError as error:
        walk.closed.append(error)
        return
    _look(archive.root, walk, level + 1)


def archive_in(folder: Folder, blob: Blob) -> Archive:
    """Return an archive that lies in a folder.

    Raises
    ------
    SourceError
        It lies in too many archives, or is too large to be held in memory.
    """
    if isinstance(folder, ArchiveFolder):
        return folder.archive.inner(folder.path / blob.name, blob)
    return Archive(str(Path(folder.where) / blob.name), blob.opener)


def inside(folder: Folder, path: PurePosixPath) -> Folder | tuple[Folder, Blob] | None:
    """Return what stands at a path below a folder: a folder, or the folder of a file and the file; None for nothing.

    Archives on the way are looked into; the case of names counts only where two differ in nothing else.

    Raises
    ------
    SourceError
        An archive on the way is damaged or hostile.
    """
    here = folder
    for at, part in enumerate(path.parts):
        names = {(item.name or ""): item for item in here.folders()}
        further = _named(names, part)
        if further is not None:
            here = further
            continue
        blob = _named({blob.name: blob for blob in here.files()}, part)
        if blob is None:
            return None
        if not _is_archive(blob):
            return (here, blob) if at + 1 == len(path.parts) else None
        here = archive_in(here, blob).root
    return here


def _is_archive(blob: Blob) -> bool:
    """Tell by the name of a file, or else by its first bytes, whether it is an archive."""
    if is_archive_name(blob.name):
        return True
    with blob.opener() as stream:
        return stream.read(len(ZIP_MARK)) == ZIP_MARK


def _named(items: dict[str, Item], name: str) -> Item | None:
    """Return the item of a name, an exact match first."""
    return items.get(name) or next((item for key, item in items.items() if key.upper() == name.upper()), None)

"""From the path that a user names to the files of one set: a folder, a stick, a main file, an archive, or in them."""

from __future__ import annotations

import os
from pathlib import Path, PurePosixPath

from taskdata.errors import SourceError, UsageError
from taskdata.file_formats.contents import ZIP_MARK
from taskdata.file_formats.regular import absence
from taskdata.file_formats.table import formats_of_layers, listed
from taskdata.findings import Finding, Place
from taskdata.isoxml.files.archives import Archive, ArchiveFolder, is_archive_name
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import (
    FOLDER,
    MAIN,
    DiskFolder,
    Folder,
    disk_file,
    inner_folders,
    main_in,
    unreadable,
)
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.files.survey import Surveyed, inside, survey
from taskdata.raised_rules.file.another_set import RULE as ANOTHER_SET
from taskdata.raised_rules.file.not_looked_into import RULE as NOT_LOOKED_INTO
from taskdata.raised_rules.file.set_in_subfolder import RULE as SET_IN_SUBFOLDER

_HEAD = 4096
_SHOWN = 50


def is_file_set(path: str | os.PathLike[str]) -> bool:
    """Tell whether ``path`` looks like an ISO 11783-10 set: folder, stick, main file or zip, or one of them in a zip.

    A folder in which sets lie deeper does not: it may hold layers of its own.
    """
    place = Path(path)
    if place.is_dir():
        folder = DiskFolder(place)
        return main_in(folder) is not None or bool(inner_folders(folder))
    if place.is_file():
        with place.open("rb") as stream:
            head = stream.read(_HEAD)
        return head.startswith(ZIP_MARK) or _looks_like_xml(head)
    return _archive_above(place) is not None


def exists(path: str | os.PathLike[str]) -> bool:
    """Tell whether something stands at a path, on disk or in an archive.

    Raises
    ------
    SourceError
        The archive is damaged or hostile.
    """
    return Path(path).exists() or (_archive_above(Path(path)) is not None and _located(Path(path)) is not None)


def open_file_set(path: str | os.PathLike[str]) -> FileSet:
    """Open a set for reading.

    Raises
    ------
    SourceError
        There is no set at ``path``, it cannot be read, or the archive is damaged or hostile.
    UsageError
        There are several, and none is that of the stick.
    """
    try:
        return _opened(Path(path))
    except (OSError, ValueError) as error:
        raise unreadable(Path(path), error) from None


def sets_in(path: str | os.PathLike[str]) -> tuple[str, ...]:
    """Return the path of every set in a folder, stick or archive at any depth, each to be given as a source.

    A path that is itself that of one set, or holds none or one, is returned as it is. Beside several sets also the
    folders and archives are named that could not be looked into.
    """
    alone = (os.fspath(path),)
    sets, closed = _sets_in(path)
    return (*sets, *closed) if len(sets) > 1 else alone


def every_set(path: str | os.PathLike[str]) -> tuple[str, ...]:
    """Return the path of every set in a folder or archive at any depth, and of all that could not be looked into."""
    sets, closed = _sets_in(path)
    return (*sets, *closed)


def _sets_in(path: str | os.PathLike[str]) -> tuple[list[str], list[str]]:
    """Return the paths of sets, and of what could not be looked into; a path that is one set or none of them alone."""
    try:
        here = _located(Path(path))
        if here is None or isinstance(here, tuple) or main_in(here) is not None:
            return [os.fspath(path)], []
        named = [item.where for item in inner_folders(here)]
        found = survey(here)
    except (OSError, ValueError, SourceError):  # reading it says why
        return [], [os.fspath(path)]
    sets = [*named, *(item.where for item in found.sets if item.where not in named)]
    return sets, [str(error.where) for error in found.closed]


def _opened(place: Path) -> FileSet:
    here = _located(place)
    if here is None:
        raise SourceError(absence(place), where=place, remedy="Check the path")
    if isinstance(here, tuple):
        return _around(place, *here)
    return _chosen(here)


def _located(place: Path) -> Folder | tuple[Folder, Blob] | None:
    """Return what stands at a path: a folder, also the top of an archive, or a file and its folder."""
    if place.is_dir():
        return DiskFolder(place)
    if place.exists():
        return _file(place)
    archive = _archive_above(place)
    if archive is None:
        return None
    return inside(
        Archive(str(archive), disk_file(archive).opener).root, PurePosixPath(*place.parts[len(archive.parts) :])
    )


def _archive_above(place: Path) -> Path | None:
    """Return the archive that a path leads into, None where it leads into none."""
    above = next((item for item in place.parents if item.exists()), None)
    if above is None or not above.is_file() or ".." in place.parts[len(above.parts) :]:
        return None
    with above.open("rb") as stream:
        return above if is_archive_name(above.name) or stream.read(4) == ZIP_MARK else None


def _file(place: Path) -> Folder | tuple[Folder, Blob]:
    if not place.is_file():
        raise SourceError(
            "is neither a file nor a folder", where=place, remedy="Name the folder of the set or its main file"
        )
    with place.open("rb") as stream:
        head = stream.read(4)
    if not head:
        raise SourceError("is an empty file", where=place, remedy="Copy it again from the original")
    blob = disk_file(place)
    if head == ZIP_MARK or is_archive_name(place.name):
        return Archive(str(place), blob.opener).root
    return DiskFolder(place.parent), blob


def _around(place: Path, folder: Folder, own: Blob) -> FileSet:
    """Return the set around a main file; the named file counts as the main one whatever it is called."""
    if not own.size:
        raise SourceError("is an empty file", where=place, remedy="Copy it again from the original")
    named_so = own.name.upper() == MAIN
    main = own if named_so else Blob(MAIN, own.size, own.opener)
    others = (blob for blob in folder.files() if blob.name not in {own.name, main.name})
    keep = others if named_so else (blob for blob in others if blob.name.upper() != MAIN)
    name = _name_of(folder)
    crowded = (name or "").upper() != FOLDER
    links = () if crowded else folder.outside()
    folders = _names(folder)
    return FileSet(str(place), (main, *keep), name, crowded=crowded, outside=links, folders=folders, main_named=True)


def _names(folder: Folder) -> tuple[str, ...]:
    return tuple(item.name for item in folder.folders() if item.name is not None)


def _name_of(folder: Folder) -> str | None:
    """Return the name of the folder as it was reached, not as a link in the path leads."""
    return folder.path.absolute().name if isinstance(folder, DiskFolder) else folder.name


def _chosen(here: Folder) -> FileSet:
    """Return the set of a folder: its own, that of its folder TASKDATA, or the only one in it at any depth."""
    own = main_in(here) is not None
    named = [] if own else inner_folders(here)
    if len(named) > 1:
        raise _several(here, [item.where for item in named])
    chosen = here if own else next(iter(named), None)
    notes: list[Finding] = []
    if chosen is None:
        found = survey(here)
        chosen = _only(here, found)
        notes.append(SET_IN_SUBFOLDER.at(Place(), found=chosen.where))
    else:
        found = _beside(here)
    notes += [ANOTHER_SET.at(Place(), found=item.where) for item in found.sets if item.where != chosen.where]
    notes += [NOT_LOOKED_INTO.at(Place(), found=item.where, reason=item.why or item.what) for item in found.closed]
    chosen.refuse_names()
    links, folders = chosen.outside(), _names(chosen)
    return FileSet(chosen.where, chosen.files(), chosen.name, outside=links, folders=folders, notes=tuple(notes))


def _beside(here: Folder) -> Surveyed:
    """Return what else there is where the set is known; that it is too much for a look stops nobody."""
    try:
        return survey(here)
    except SourceError as error:
        return Surveyed((), (error,))


def _only(here: Folder, found: Surveyed) -> Folder:
    if not found.sets:
        raise _none(here, found)
    if len(found.sets) > 1:
        raise _several(here, [item.where for item in found.sets])
    return found.sets[0]


def _several(here: Folder, paths: list[str]) -> UsageError:
    more = f" and {len(paths) - _SHOWN} more" if len(paths) > _SHOWN else ""
    return UsageError(
        f"holds {len(paths)} sets",
        where=here.where,
        why="it is not clear which one is meant",
        remedy=f"Name one of them: {', '.join(paths[:_SHOWN])}{more}",
    )


def _none(here: Folder, found: Surveyed) -> SourceError:
    """Return the failure to say of a place without a set, by what is there in its place."""
    if found.closed:
        first = found.closed[0]
        return SourceError(f"holds no readable {MAIN}", where=here.where, why=str(first))
    if isinstance(here, ArchiveFolder):
        layers = [form for form in formats_of_layers() if here.archive.holds(form.is_told_by_name)]
        remedy = (
            f"It holds {listed(layers, 'and')}: unpack it and name the folder"
            if layers
            else "Check that it holds a set"
        )
        return SourceError(f"is a zip archive without a {MAIN}", where=here.where, remedy=remedy)
    return SourceError(
        f"holds no {MAIN} and no folder {FOLDER} with one",
        where=here.where,
        why="nor is there one deeper inside",
        remedy="Name the folder of the set or the root of the stick",
    )


def _looks_like_xml(head: bytes) -> bool:
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    return text.startswith((b"<", b"\xff\xfe<", b"\xfe\xff\x00<"))

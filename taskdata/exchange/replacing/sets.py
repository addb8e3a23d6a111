"""What lies among the files of an ISO-XML set and is none of it.

Of the set are its main file, the link list, every file that is named as the standard names external files, logs, grids
and points, and every other that the set names. A set does not say who wrote it. What the new set brings again, byte for
byte, is not lost and does not count.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Collection, Sequence
from pathlib import Path

from taskdata.errors import TaskdataError
from taskdata.exchange.replacing.on_disk import is_folder, plain_files
from taskdata.file_formats.contents import HEAD, has_root
from taskdata.isoxml.files.archives import Archive
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import FOLDER, DiskFolder, Folder, disk_file, main_in
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.tree.filenames import LINK_LIST, NAMED_LIKE_A_SET
from taskdata.litter import is_litter
from taskdata.packed import FAULTS

_IS_MAIN = has_root("ISO11783_TaskData")
_STICK = re.compile(r"stick[0-9]+")


def foreign_in_set(place: Path, fresh: Path) -> Sequence[str]:
    """Return what in the folder of a set is none of it; the place itself where that is no folder."""
    if not is_folder(place):
        return (place.name,)
    return _on_disk(place, fresh)


def foreign_in_sticks(place: Path, fresh: Path) -> Sequence[str]:
    """Return what in a folder of sticks is none of their sets."""
    if not is_folder(place):
        return (place.name,)
    files, others = plain_files(place)
    found = [item.name for item in files]
    for name in others:
        stick = place / name.removesuffix("/")
        found += [name] if not is_stick_name(stick.name) or not name.endswith("/") else _in_stick(stick, fresh)
    return found


def foreign_in_archive(place: Path, fresh: Path) -> Sequence[str]:
    """Return what in a zip archive is none of the sets in it; the archive itself where it cannot be read."""
    if not place.is_file() or place.is_symlink():
        return (place.name,)
    try:
        old, new = (Archive(str(path), disk_file(path).opener).root for path in (place, fresh))
        return _in_root(old, new)
    except (*FAULTS, TaskdataError, zipfile.LargeZipFile):
        return (place.name,)


def is_stick_name(name: str) -> bool:
    """Tell whether a folder is called as one of several sticks."""
    return _STICK.fullmatch(name) is not None


def _in_stick(stick: Path, fresh: Path) -> list[str]:
    files, others = plain_files(stick)
    found = [item.name for item in files]
    for name in others:
        new = fresh / stick.name / FOLDER
        inner = _on_disk(stick / FOLDER, new) if name == f"{FOLDER}/" else [name]
        found += [f"{FOLDER}/{item}" for item in inner] if name == f"{FOLDER}/" else inner
    return [f"{stick.name}/{name}" for name in found]


def _on_disk(place: Path, fresh: Path) -> list[str]:
    files, others = plain_files(place)
    blobs = [disk_file(item) for item in files]
    return [*others, *_strangers(DiskFolder(place), blobs, DiskFolder(fresh) if fresh.is_dir() else None)]


def _in_root(old: Folder, new: Folder | None, above: str = "") -> list[str]:
    """Return what is none of a set in the top of an archive, or in the folder of one of its sticks."""
    found = [f"{above}{blob.name}" for blob in old.files() if not is_litter(blob.name)]
    twins = {} if new is None else {folder.name: folder for folder in new.folders()}
    for folder in old.folders():
        name, twin = folder.name or "", twins.get(folder.name)
        if name == FOLDER:
            inner = [*(f"{item.name}/" for item in folder.folders()), *_strangers(folder, folder.files(), twin)]
            found += [f"{above}{name}/{item}" for item in inner]
        elif not above and is_stick_name(name):
            found += _in_root(folder, twin, f"{name}/")
        else:
            found.append(f"{above}{name}/")
    return found


def _strangers(folder: Folder, blobs: Sequence[Blob], fresh: Folder | None) -> list[str]:
    """Return the files that are none of the set in a folder: all of them where there is no set."""
    blobs = [blob for blob in blobs if not is_litter(blob.name)]
    main = main_in(folder)
    if main is None or not _is_task_data(main):
        return [blob.name for blob in blobs]
    other = [blob for blob in blobs if not _is_named_so(blob.name)]
    again = {} if fresh is None or not other else {blob.name.upper(): blob for blob in fresh.files()}
    other = [blob for blob in other if not _is_same(blob, again.get(blob.name.upper()))]
    named = _names_of_set(folder, blobs) if other else ()
    return [blob.name for blob in other if blob.name.upper() not in named]


def _is_named_so(name: str) -> bool:
    return name.upper() in {"TASKDATA.XML", LINK_LIST} or NAMED_LIKE_A_SET.fullmatch(name) is not None


def _is_task_data(main: Blob) -> bool:
    try:
        with main.opener() as stream:
            return _IS_MAIN(stream.read(HEAD))
    except (TaskdataError, OSError):
        return False


def _is_same(old: Blob, new: Blob | None) -> bool:
    if new is None or old.size != new.size:
        return False
    content = old.content()
    return content is not None and content == new.content()


def _names_of_set(folder: Folder, blobs: Sequence[Blob]) -> Collection[str]:
    """Return the names, in capitals, of the files that a set consists of; none where it cannot be read."""
    try:
        document = document_of(FileSet(folder.where, tuple(blobs), folder.name, crowded=True))
    except TaskdataError:
        return ()
    return {*(file.name.upper() for file in document.xml_files), *(name.upper() for name in document.others)}

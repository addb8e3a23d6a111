"""Every set, file of layers and raster in a folder or archive, at any depth, archives in it included.

What operating systems leave does not count, links to folders are not followed, and archives are looked into within the
limits of `taskdata.packed`. What cannot be looked into costs nothing but itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from taskdata import limits
from taskdata.errors import SourceError
from taskdata.exchange.found.contents import head_of
from taskdata.exchange.found.locating import Located
from taskdata.exchange.found.things import Found, Thing, ThingKind, below
from taskdata.file_formats.contents import HEAD
from taskdata.file_formats.declaration import Format
from taskdata.file_formats.rasters import is_raster
from taskdata.file_formats.table import formats_of_layers, told_by_content
from taskdata.isoxml.files.archives import is_archive_name
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import MAIN, DiskFolder, Folder, unreadable
from taskdata.isoxml.files.survey import archive_in
from taskdata.litter import is_litter
from taskdata.phrases import phrase
from taskdata.progress import Advance, stage


class TooManyFilesError(SourceError):
    """A folder holds more files and folders than can be looked through at once."""


def everything_in(folder: Folder) -> Found:
    """Return what lies in a folder, the folders in it and the archives in those.

    Raises
    ------
    TooManyFilesError
        It holds more files and folders than can be looked through.
    SourceError
        The folder itself cannot be looked into.
    """
    with stage("Looking through folders", "files") as advance:
        walk = _Walk(advance)
        walk.look(folder, "", 0)
    if walk.found.closed and not walk.found.closed[0][0]:
        raise walk.found.closed[0][1]
    walk.found.things.sort(key=lambda thing: thing.path)
    walk.found.aside.sort()
    return walk.found


def found_at(place: Path, located: Located) -> Found:
    """Return what lies in the folder or archive at a place, or the one file that stands there."""
    if located.blob is None:
        return everything_in(located.folder)
    thing = thing_of(located.folder, located.blob)
    return Found([] if thing is None else [thing], [] if thing else [(place.name, "it is in no format that is read")])


def thing_of(folder: Folder, blob: Blob) -> Thing | None:
    """Return a file as layers, None where it holds none."""
    told = _told(folder, blob)
    if told.form is None:
        return None
    own = (blob, *_beside(blob, told.form, _places(folder.files())))
    return Thing(blob.name, ThingKind.LAYERS, folder, told.form, own, told.sure)


class _Walk:
    """One walk through a source."""

    def __init__(self, advance: Advance) -> None:
        self.found = Found()
        self.entries = 0
        self.advance = advance

    def look(self, folder: Folder, path: str, level: int) -> None:
        """Look into a folder; one that is too deep, or cannot be opened, is named."""
        if level > limits.most("folder_levels"):
            self.found.aside.append(
                (path, phrase("it lies in more than {count} folders", count=limits.most("folder_levels")))
            )
            return
        try:
            files = [blob for blob in folder.files() if not is_litter(blob.name)]
            folders = folder.folders()
            folder.refuse_names()
            links = folder.outside()
        except OSError as error:
            self.found.closed.append((path, unreadable(folder.where, error)))
            return
        except SourceError as error:
            self.found.closed.append((path, error))
            return
        self._count(folder, len(files) + len(folders))
        why = "it is a link out of its folder, which is not followed"
        self.found.aside += [(below(path, name), why) for name in links]
        self._files(folder, path, files)
        for item in folders:
            inner = below(path, item.name or "")
            if isinstance(item, DiskFolder) and item.path.is_symlink():
                self.found.aside.append((inner, phrase("it is a link to a folder, which is not followed")))
            else:
                self.look(item, inner, level + 1)
        for blob in files:
            if is_archive_name(blob.name):
                self._look_into(folder, path, blob, level)

    def _count(self, folder: Folder, count: int) -> None:
        self.entries += count
        self.advance(count)
        if self.entries > limits.most("folder_files"):
            raise TooManyFilesError(
                "holds too many files and folders to search",
                where=folder.where,
                why=limits.told("folder_files"),
                remedy=f"Name a folder in it. {limits.raising('folder_files')}",
            )

    def _look_into(self, folder: Folder, path: str, blob: Blob, level: int) -> None:
        inner = below(path, blob.name)
        try:
            root = archive_in(folder, blob).root
        except SourceError as error:
            self.found.closed.append((inner, error))
            return
        self.look(root, inner, level + 1)

    def _files(self, folder: Folder, path: str, files: Sequence[Blob]) -> None:
        """Sort the files of a folder: a set with all that is in its folder, or layers, rasters and the rest."""
        plain = [blob for blob in files if not is_archive_name(blob.name)]
        if any(blob.name.upper() == MAIN for blob in files):
            self.found.things.append(Thing(path, ThingKind.SET, folder, files=tuple(plain)))
            return
        told, places = [_told(folder, blob) for blob in plain], _places(files)
        taken = set[str]()
        for form in _carrying(told):
            group = [item.blob for item in told if item.form is form or item.blob.name in form.folder_files]
            group += [blob for main in tuple(group) for blob in _beside(main, form, places)]
            self.found.things.append(Thing(path, ThingKind.CARRIED, folder, form, tuple(dict.fromkeys(group))))
            taken |= {blob.name for blob in group}
        for item in told:
            if item.form is not None and item.blob.name not in taken:
                own = (item.blob, *_beside(item.blob, item.form, places))
                inner = below(path, item.blob.name)
                self.found.things.append(Thing(inner, ThingKind.LAYERS, folder, item.form, own, item.sure))
                taken |= {blob.name for blob in own}
        for item in told:
            if item.blob.name not in taken:
                self._rest(folder, below(path, item.blob.name), item)

    def _rest(self, folder: Folder, path: str, item: _Told) -> None:
        """Note a file that is no layer: a raster, or something that is left aside."""
        if item.blob.fault is not None:
            self.found.aside.append((path, phrase("it cannot be read: {reason}", reason=item.blob.fault)))
        elif item.raster:
            self.found.things.append(Thing(path, ThingKind.RASTER, folder, files=(item.blob,)))
        else:
            self.found.aside.append((path, _reason(item.blob)))


class _Told(NamedTuple):
    """What the first bytes and the name of a file say."""

    blob: Blob
    form: Format | None
    sure: bool
    raster: bool


def _told(folder: Folder, blob: Blob) -> _Told:
    path, head = PurePosixPath(blob.name), head_of(folder, blob, HEAD)
    form = told_by_content(head, path)
    if form is not None and form.driver is not None and path.suffix.lower() not in form.beside:
        return _Told(blob, form, sure=True, raster=False)
    raster = is_raster(path, head)
    named = None if raster else next((item for item in _read() if item.is_told_by_name(path)), None)
    return _Told(blob, named, sure=False, raster=raster)


def _carrying(told: Sequence[_Told]) -> Iterator[Format]:
    """Yield each format of which the folder holds a whole set: its layers, and the tables that they carry."""
    for form in _read():
        own = [item.blob.name for item in told if item.form is form]
        if not (form.folder and own):
            continue
        from taskdata.formats.side_tables import SPECS

        carried = any(PurePosixPath(name).stem in SPECS for name in own)
        if carried or any(item.blob.name in form.folder_files for item in told):
            yield form


def _places(files: Sequence[Blob]) -> Mapping[str, Sequence[tuple[int, Blob]]]:
    """Return files by their names in small letters, each with its place among them."""
    found: dict[str, list[tuple[int, Blob]]] = {}
    for place, blob in enumerate(files):
        found.setdefault(blob.name.lower(), []).append((place, blob))
    return found


def _beside(main: Blob, form: Format, places: Mapping[str, Sequence[tuple[int, Blob]]]) -> Iterator[Blob]:
    """Yield the files that belong to a file of layers: those of its name with other endings."""
    stem = PurePosixPath(main.name).stem.lower()
    endings = (*form.beside, *form.outdated, *(f"{suffix}.xml" for suffix in form.suffixes if form.beside))
    found = (item for name in {f"{stem}{ending}" for ending in endings} for item in places.get(name, ()))
    return (blob for _, blob in sorted(found, key=lambda item: item[0]) if blob is not main)


def _reason(blob: Blob) -> str:
    """Return why a file is left aside."""
    ending = PurePosixPath(blob.name).suffix.lower()
    if not blob.size:
        return phrase("it is empty")
    for form in _read():
        if ending in form.beside and ending != ".prj":
            return phrase("the {suffix} file that it belongs to is missing", suffix=form.suffix)
    return phrase("it is in no format that is read")


def _read() -> Iterator[Format]:
    return (form for form in formats_of_layers() if form.reads)

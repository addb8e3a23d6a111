"""Layers in a zip archive, at any depth: unpacked into a folder of our own, and read as folders are.

The archive is taken apart within the limits of `taskdata.packed`; what leads outside it is none of its files. A file or
an archive in it that is damaged is told, and the others are read. The folder is gone when the layers are read, also
where reading fails.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from taskdata.errors import SourceError, TaskdataError, UsageError
from taskdata.file_formats.contents import HEAD, ZIP_MARK
from taskdata.file_formats.table import format_named, formats_of_layers, joined, listed, told_by_content
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, Tables
from taskdata.formats.detect import detect
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import read as read_layers
from taskdata.formats.unread import with_unread
from taskdata.isoxml.files.archives import Archive, ArchiveFolder, is_archive_name
from taskdata.isoxml.files.folders import MAIN
from taskdata.litter import entries
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER
from taskdata.results.reading import Datum

_MOST_LEVELS = 64
_SHOWN = 20


@dataclass(frozen=True)
class Packed:
    """What lies in an archive.

    Parameters
    ----------
    archive : Archive
        The archive.
    sets, layers : tuple of str
        Paths in it: folders of task data sets, and files of layers beside those.
    """

    archive: Archive
    sets: tuple[str, ...]
    layers: tuple[str, ...]


def packed_layers(place: Path) -> Packed | None:
    """Return what lies in an archive that holds layers; None for anything else, a damaged archive included.

    Raises
    ------
    UsageError
        It holds a task data set too.
    """
    if not place.is_file():
        return None
    with place.open("rb") as file:
        if file.read(len(ZIP_MARK)) != ZIP_MARK:
            return None
    archive = Archive(os.fspath(place), lambda: place.open("rb"))
    try:
        folders = list(_folders(archive.root))
    except SourceError:  # reading it as a set says why
        return None
    sets = [folder for folder in folders if _holds_set(folder)]
    layers = [path for folder in folders if not _holds_set(folder) for path in _layers(folder)]
    if not layers:
        return None
    found = Packed(archive, tuple(folder.where for folder in sets), tuple(layers))
    if sets:
        _refuse_both(place, found)
    return found


def read_packed(place: Path, packed: Packed, options: TakeOptions, *, partial: bool = False) -> PlacedLayers:
    """Return the layers of an archive, those of all its folders together.

    Raises
    ------
    SourceError, UsageError
        As `formats.read.read` does, and where the archive is damaged or the disk is full.
    """
    with tempfile.TemporaryDirectory(prefix="taskdata-") as room:
        into = Path(room).resolve()
        try:
            told = list(with_unread(_unpack(packed.archive.root, into)))
            sources = [read_layers(folder, options=options, partial=partial) for folder in _sources(into)]
        except TaskdataError as error:
            error.reword(lambda text: _told_as(text, room=str(into), place=str(place)))
            raise
        whole = _together(place, into, sources)
        return replace(whole, findings=[*told, *whole.findings])


def _folders(folder: ArchiveFolder, level: int = 0) -> Iterator[ArchiveFolder]:
    """Yield a folder, those in it, and those of archives in it."""
    if level > _MOST_LEVELS:
        raise SourceError(f"holds folders in more than {_MOST_LEVELS} levels", where=folder.where)
    files = folder.members()  # first: of an archive that cannot be listed nothing is given
    yield folder
    for item in folder.folders():
        yield from _folders(item, level + 1)
    for name, info in files:
        if is_archive_name(name):
            with suppress(SourceError):  # unpacking it says why
                inner = folder.archive.inner(folder.path / name, folder.archive.file(name, info))
                yield from _folders(inner.root, level + 1)


def _holds_set(folder: ArchiveFolder) -> bool:
    return any(name.upper() == MAIN for name, _ in folder.members())


def _layers(folder: ArchiveFolder) -> Iterator[str]:
    """Yield the path of each file that is layers by its content, or by its name where that alone tells it."""
    for name, info in folder.members():
        path = PurePosixPath(name)
        if not any(form.reads and form.is_named(path) for form in formats_of_layers()):
            continue
        try:
            with folder.archive.member(info) as member:
                known = told_by_content(member.read(HEAD), path) is not None
        except SourceError:
            known = any(form.is_told_by_name(path) for form in formats_of_layers())
        if known:
            yield f"{folder.where}/{name}"


def _refuse_both(place: Path, found: Packed) -> None:
    shown = [*found.layers[:_SHOWN], *(["others"] if len(found.layers) > _SHOWN else [])]
    raise UsageError(
        f"holds a task data set and layers: {joined(found.sets, 'and')}; {joined(shown, 'and')}",
        where=place,
        why="which one is meant cannot be known",
        remedy=f"Name {found.sets[0]}, or unpack the archive and name the folder of the layers",
    )


def _unpack(folder: ArchiveFolder, into: Path) -> Iterator[Finding]:
    """Write the files of layers, and what belongs to them, into a folder that exists; yield what cannot be."""
    folder.refuse_names()
    for name, info in folder.members():
        try:
            if is_archive_name(name):
                inner = folder.archive.inner(folder.path / name, folder.archive.file(name, info))
                yield from _unpack(inner.root, _made(into / name))
            elif _belongs(name):
                with folder.archive.member(info) as member, (into / name).open("wb") as file:
                    shutil.copyfileobj(member, file)
        except SourceError as error:
            if (into / name).is_file():
                (into / name).unlink()
            reason = f"it {error.what}" + (f" ({error.why})" if error.why else "")
            yield UNREADABLE_LAYER.at(Place(file=name), layer=name, reason=reason)
    for item in folder.folders():
        yield from _unpack(item, _made(into / item.path.name))


def _made(folder: Path) -> Path:
    folder.mkdir(exist_ok=True)
    return folder


def _belongs(name: str) -> bool:
    low = name.lower()
    return any(
        form.is_named(PurePosixPath(name)) or low.endswith(form.beside) or name in form.folder_files
        for form in formats_of_layers()
        if form.reads
    )


def _sources(folder: Path) -> Iterator[Path]:
    """Yield each folder that holds layers, and each file of layers that is a source of its own."""
    inside = entries(folder)
    files = [item for item in inside if item.is_file()]
    together = detect(folder)
    if together is not None:
        yield folder
    for item in files:
        alone = detect(item)
        if alone is not None and not format_named(alone).folder:
            yield item
    for item in inside:
        if item.is_dir():
            yield from _sources(item)


def _together(place: Path, into: Path, sources: Sequence[PlacedLayers]) -> PlacedLayers:
    """Return the layers of several folders as those of one source.

    Raises
    ------
    SourceError
        There is none.
    UsageError
        A folder carries a whole set along, and there are others.
    """
    if not sources:
        raise SourceError("holds no layers that can be read", where=place, remedy=f"Give {listed(formats_of_layers())}")
    where = [_told_as(item.path, room=str(into), place=str(place)) for item in sources]
    if len(sources) > 1 and any(item.carried is not None for item in sources):
        raise UsageError(
            f"holds {len(sources)} sources of layers, and one of them carries a whole task data set",
            where=place,
            why=joined(where, "and"),
            remedy="Unpack the archive and name the one that is meant",
        )
    tables, changes = Tables(), dict[str, Datum]()
    for source in sources:
        for name, raw in source.tables.items():
            key = _added(tables, replace(raw, name=name))
            changes |= {key: source.changes[name]} if name in source.changes else {}
        tables.findings += source.findings
    first = sources[0]
    return replace(
        first,
        path=str(place),
        tables=tables.tables,
        findings=tables.findings,
        changes=changes,
        whole=all(item.whole for item in sources),
    )


def _added(tables: Tables, raw: RawTable) -> str:
    tables.add(raw)
    return next(reversed(tables.tables))


def _told_as(text: str, *, room: str, place: str) -> str:
    """Return a text in which a path in the folder of our own is the path in the archive."""
    return text.replace(room, place)

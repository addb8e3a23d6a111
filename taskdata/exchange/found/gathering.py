"""The layers of many files, formats and folders as those of one source.

What lies in an archive is unpacked for it into a folder of our own, which is gone afterwards. Each table, and what was
found in it, is told by the path of its file below the source.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import field, replace
from pathlib import Path
from types import MappingProxyType

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, TaskdataError, UsageError
from taskdata.exchange.found.contents import copy_to
from taskdata.exchange.found.things import Thing, ThingKind
from taskdata.file_formats.table import formats_of_layers, joined, listed
from taskdata.findings import Fact, Finding, Place
from taskdata.formats.base import Tables
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.read import RawLayers, raw_layers
from taskdata.formats.unread import with_unread
from taskdata.isoxml.files.folders import DiskFolder, Folder
from taskdata.progress import each
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER


class Room:
    """A folder of our own, into which files in archives are unpacked."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._told: dict[str, str] = {}

    def folder(self, folder: Folder) -> Path:
        """Return the folder on disk that stands for one; an empty one for a folder in an archive."""
        if isinstance(folder, DiskFolder):
            return folder.path
        made = self._path / str(len(self._told))
        made.mkdir()
        self._told[str(made)] = folder.where
        return made

    def told(self, text: str) -> str:
        """Return a text in which paths in this room are those of what they stand for."""
        for path, where in reversed(self._told.items()):
            text = text.replace(path, where)
        return text


@contextmanager
def room() -> Iterator[Room]:
    """Give a room that is gone afterwards; what fails in it is told by the paths that the user knows."""
    with tempfile.TemporaryDirectory(prefix="taskdata-") as path:
        made = Room(Path(path).resolve())
        try:
            yield made
        except TaskdataError as error:
            error.reword(made.told)
            raise


@dataclass
class Gathered:
    """What was read of several things.

    Parameters
    ----------
    layers : list of RawLayers
        Those of files that were read together.
    told : list of Finding
        What could not be read.
    errors : list of SourceError
        Why, as it is told where nothing else was read.
    """

    layers: list[RawLayers] = field(default_factory=list)
    told: list[Finding] = field(default_factory=list)
    errors: list[SourceError] = field(default_factory=list)


def gather(things: Sequence[Thing], where: str, options: TakeOptions) -> RawLayers:
    """Return the layers of several things as those of one source; what cannot be read is told.

    Parameters
    ----------
    things : sequence of Thing
        Files of layers, and folders of layers that carry a set.
    where : str
        Path of the source.
    options : TakeOptions
        What a person says: encodings of texts.

    Raises
    ------
    SourceError
        None of them can be read.
    UsageError
        One of them carries a whole task data set, and there are others.
    """
    found = gathered(things, options)
    if not found.layers:
        raise found.errors[0] if found.errors else _nothing(where, found.told)
    if len(found.layers) > 1 and any(layers.side for layers in found.layers):
        raise UsageError(
            f"holds {len(things)} sources of layers, and one of them carries a whole task data set",
            where=where,
            why=joined([thing.path for thing in things], "and"),
            remedy="Name the one that is meant",
        )
    return together(found, where)


def gathered(things: Sequence[Thing], options: TakeOptions) -> Gathered:
    """Read several things; nothing that is wrong with one costs another."""
    found = Gathered()
    empty = [thing for thing in things if not thing.files[0].size]
    found.errors += [_empty(thing) for thing in empty]
    found.told += with_unread(_finding(thing.path, _empty(thing)) for thing in empty)
    with room() as space:
        for group in each(_groups([thing for thing in things if thing.files[0].size]), "Reading files", "files"):
            try:
                layers = _read(group, space, found.told, options)
            except SourceError as error:
                error.reword(space.told)
                found.errors.append(error)
                found.told += _unread(group, space, error, options)
                continue
            if layers is not None:
                found.layers.append(layers)
    return found


def _empty(thing: Thing) -> SourceError:
    """Return the failure to say of an empty file, of which every library says something else."""
    return SourceError("cannot be read", where=thing.where, why="it is empty", remedy="Copy it again from the original")


@dataclass(frozen=True)
class _Group:
    """Files of one format in one folder, which are read together."""

    things: tuple[Thing, ...]

    @property
    def first(self) -> Thing:
        return self.things[0]

    @property
    def prefix(self) -> str:
        """The path of the folder below the source, with a slash where it is another."""
        if self.first.kind is ThingKind.CARRIED:
            return f"{self.first.path}/" if self.first.path else ""
        return self.first.path[: len(self.first.path) - len(self.first.files[0].name)]


def _groups(things: Sequence[Thing]) -> list[_Group]:
    """Return things in groups that are read together: files of one format in a folder, where it is read by folders."""
    groups: dict[tuple[str, ...], list[Thing]] = {}
    for thing in things:
        form = thing.form
        assert form is not None  # noqa: S101  # of layers it is known
        together = form.folder and thing.kind is ThingKind.LAYERS
        key = (thing.folder.where, form.name) if together else (thing.where, form.name, "alone")
        groups.setdefault(key, []).append(thing)
    return [_Group(tuple(group)) for group in groups.values()]


def _read(group: _Group, space: Room, told: list[Finding], options: TakeOptions) -> RawLayers | None:
    """Return the layers of a group by the paths of their files below the source, None where no file can be had."""
    folder, form = space.folder(group.first.folder), group.first.form
    assert form is not None  # noqa: S101
    files = []
    for thing in group.things:
        if not isinstance(thing.folder, DiskFolder):
            failure = _unpack(thing, folder)
            if failure is not None:
                told += with_unread([_finding(thing.path, failure)])
                continue
        files += [
            folder / blob.name for blob in thing.files if form.is_named(Path(blob.name)) or blob is thing.files[0]
        ]
    if not files:
        return None
    alone = len(group.things) == 1 and group.first.kind is ThingKind.LAYERS
    said = {thing.files[0].name: options.said_of(thing.path).encoding for thing in group.things}
    encodings = {name: encoding for name, encoding in said.items() if encoding is not None}
    layers = raw_layers(files[0] if alone else folder, form.name, files, encodings)
    return replace(_below(layers, group.prefix), path=group.first.where)


def _unpack(thing: Thing, folder: Path) -> SourceError | None:
    """Copy the files of a thing to the disk; return why one cannot be."""
    for blob in thing.files:
        try:
            copy_to(thing.folder, blob, folder / blob.name)
        except SourceError as error:
            return error
    return None


def _unread(group: _Group, space: Room, error: SourceError, options: TakeOptions) -> Iterator[Finding]:
    """Yield for each file of a group that cannot be read why that is so."""
    for thing in group.things:
        alone = error
        if len(group.things) > 1:
            try:
                _read(_Group((thing,)), space, [], options)
            except SourceError as own:
                own.reword(space.told)
                alone = own
        yield from with_unread([_finding(thing.path or thing.where, alone)])


def _finding(path: str, error: SourceError) -> Finding:
    reason = error.why or error.what
    return UNREADABLE_LAYER.at(Place(file=path), layer=path, reason=reason)


def _nothing(where: str, told: Sequence[Finding]) -> SourceError:
    why = next((str(item.facts["reason"]) for item in told), None)
    remedy = f"Give {listed(formats_of_layers())}"
    return SourceError("holds no layers that can be read", where=where, why=why, remedy=remedy)


def _below(layers: RawLayers, prefix: str) -> RawLayers:
    """Return layers with the paths of their files below the source."""
    if not prefix:
        return layers
    words = {raw.file: f"{prefix}{raw.file}" for raw in layers.tables.values()}
    words |= {raw.label: replace(raw, file=f"{prefix}{raw.file}").label for raw in layers.tables.values()}
    return replace(
        layers,
        tables={name: replace(raw, file=f"{prefix}{raw.file}") for name, raw in layers.tables.items()},
        findings=[_reworded(finding, prefix, words) for finding in layers.findings],
    )


def _reworded(finding: Finding, prefix: str, words: Mapping[str, str]) -> Finding:
    file = finding.place.file
    facts: dict[str, Fact] = {
        name: words.get(fact, f"{prefix}{fact}" if fact == file else fact) if isinstance(fact, str) else fact
        for name, fact in finding.facts.items()
    }
    unread = finding.unread
    return replace(
        finding,
        place=finding.place if file is None else replace(finding.place, file=f"{prefix}{file}"),
        facts=MappingProxyType(facts),
        unread=None if unread is None else replace(unread, file=f"{prefix}{unread.file}"),
    )


def together(gathered: Gathered, where: str) -> RawLayers:
    """Return the layers of several sources as those of one."""
    found, told = gathered.layers, gathered.told
    if len(found) == 1:
        return replace(found[0], path=where, findings=[*told, *found[0].findings])
    tables = Tables(findings=list(told))
    for layers in found:
        for raw in layers.tables.values():
            tables.add(raw)
        tables.findings += layers.findings
    formats = dict.fromkeys(layers.format for layers in found)
    return RawLayers(where, ", ".join(formats), tables.tables, {}, tables.findings)

"""What of a stick is taken together.

The folder TASKDATA at the root, or the only set, is the set, and what lies beside it is told. Layers of any formats, in
folders and archives at any depth, are taken as one. Among several sets, or a set and layers, nothing is chosen: each is
named with the path to give.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UsageError
from taskdata.exchange.found.copies import identical
from taskdata.exchange.found.dated import dated_copies
from taskdata.exchange.found.gathering import gather
from taskdata.exchange.found.locating import Located, is_set_alone, locate
from taskdata.exchange.found.neighbours import grounds_in
from taskdata.exchange.found.refusals import listed_paths, none_fits, set_and_layers, several_sets
from taskdata.exchange.found.things import Found, Thing, ThingKind
from taskdata.exchange.found.walking import everything_in, thing_of
from taskdata.file_formats.table import formats_of_layers, joined
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.patterns import fits
from taskdata.formats.placing.deciding import grounds_of
from taskdata.formats.placing.ground import Ground
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import RawLayers, placed
from taskdata.formats.unread import with_unread
from taskdata.isoxml.files.folders import FOLDER, Folder
from taskdata.raised_rules.import_.beside_the_set import RULE as BESIDE_THE_SET
from taskdata.raised_rules.import_.copy_left_out import RULE as COPY_LEFT_OUT
from taskdata.raised_rules.import_.fits_nothing import RULE as FITS_NOTHING
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER


@dataclass(frozen=True)
class Taken:
    """What is read of a source.

    Parameters
    ----------
    set_at : Path or None
        Where the task data set is that is read; None where layers are.
    layers : PlacedLayers or None
        The layers, in WGS 84.
    notes : tuple of Finding
        What lies beside the set.
    """

    set_at: Path | None = None
    layers: PlacedLayers | None = None
    notes: tuple[Finding, ...] = ()


def take(place: Path, options: TakeOptions, *, partial: bool = False, beside: Sequence[Ground] = ()) -> Taken:
    """Return what is read of a folder, an archive, or what lies in one.

    Parameters
    ----------
    options, partial, beside
        As for `formats.read.placed`.

    Raises
    ------
    SourceError
        Nothing in it can be read.
    UsageError
        It is not clear what is meant: there are several sets, or a set and layers; no item fits a pattern; or a layer
        does not say what its coordinates are in.
    """
    found = _found(place, options)
    if isinstance(found, Taken):
        return found
    wanted = _wanted(found.wanted, options, place)
    left = {name: raw for name, raw in found.whole.tables.items() if name not in wanted.tables}
    known = (*beside, *grounds_of(left, options.crs))
    try:
        layers = placed(wanted, options, partial=partial, beside=known)
    except UsageError:
        more = grounds_in(found.folder, found.paths, options)
        if not more:
            raise
        layers = placed(wanted, options, partial=partial, beside=(*known, *more))
    return Taken(layers=_without_dated(layers, options) if found.several else layers)


class _Layers(NamedTuple):
    """What is read of a source.

    Parameters
    ----------
    wanted, whole : RawLayers
        The layers that are meant, and all those of their files, which tell where on Earth that is.
    folder : Folder
        The folder of the source.
    paths : frozenset of str
        Paths of the files.
    several : bool
        Whether they are the files of a folder, among which there may be copies.
    """

    wanted: RawLayers
    whole: RawLayers
    folder: Folder
    paths: frozenset[str]
    several: bool = True


def _found(place: Path, options: TakeOptions) -> _Layers | Taken:
    """Return the layers of a source, or where the set is that it is."""
    located = locate(place)
    if located is None or is_set_alone(located):
        return Taken(set_at=place)
    if located.blob is not None:
        thing = thing_of(located.folder, located.blob)
        if thing is None:
            return Taken(set_at=place)
        return _of_file(place, located, thing, options)
    found = everything_in(located.folder)
    if options.take:
        found = chosen(found, place, options.take)
    sets = [thing for thing in found.sets if is_of_the_stick(thing)] or found.sets
    if len(sets) > 1:
        raise several_sets(place, sets)
    own = next(iter(sets), None)
    layers = [thing for thing in found.layers if thing.sure or own is None]
    if own is None:
        return _together(place, located.folder, found, layers, options) if layers else Taken(set_at=place)
    if layers and not is_of_the_stick(own):
        raise set_and_layers(place, own, layers)
    if own.kind is ThingKind.CARRIED:
        return _together(place, located.folder, found, [own], options)
    return Taken(set_at=Path(own.where) if options.take else place, notes=tuple(_beside(layers)))


def is_of_the_stick(thing: Thing) -> bool:
    """Tell whether a set is that of the stick: in the folder TASKDATA at its root."""
    return thing.kind is ThingKind.SET and thing.path.upper() == FOLDER


def chosen(found: Found, place: Path, patterns: Sequence[str]) -> Found:
    """Return what fits one of several patterns, also what may hold a layer that does.

    Raises
    ------
    UsageError
        Nothing does.
    """
    things = [
        thing
        for thing in found.things
        if any(_fits(part, place, thing.path) for pattern in patterns for part in _ways_to(pattern))
    ]
    if not things:
        raise none_fits(place, patterns, [thing.path for thing in found.things])
    return replace(found, things=things)


def _fits(pattern: str, place: Path, path: str) -> bool:
    """Tell whether a pattern fits the path of an item below a source, or the source itself."""
    return fits(pattern, path) or fits(pattern, f"{place.name}/{path}")


def _ways_to(pattern: str) -> Iterator[str]:
    """Yield a pattern, and those of what it leads through."""
    parts = pattern.replace("\\", "/").rstrip("/").split("/")
    return ("/".join(parts[:end]) for end in range(len(parts), 0, -1) if "".join(parts[:end]))


def _beside(layers: Sequence[Thing]) -> Iterator[Finding]:
    if layers:
        count = f"{counted(len(layers), 'file')} of layers"
        yield BESIDE_THE_SET.at(Place(), count=count, found=listed_paths([thing.path for thing in layers]))


def _of_file(place: Path, located: Located, thing: Thing, options: TakeOptions) -> _Layers:
    """Return the layers of one file, or the one of them that the path names."""
    raw = gather([thing], str(place), options)
    wanted = raw if located.layer is None else only(raw, located.layer, place)
    return _Layers(wanted, raw, located.folder, frozenset([thing.where]), several=False)


def only(raw: RawLayers, layer: str, place: Path) -> RawLayers:
    """Return one layer of a file.

    Raises
    ------
    SourceError
        It has no such layer; the message names those that it has.
    """
    names = {(table.layer or name): name for name, table in raw.tables.items()}
    found = names.get(layer) or next((name for key, name in names.items() if key.casefold() == layer.casefold()), None)
    if found is None:
        raise SourceError(
            "is no layer of its file",
            where=place,
            why=f"it holds {joined(list(names), 'and')}",
            remedy="Name one of these",
        )
    return replace(raw, tables={found: raw.tables[found]}, side={})


def _together(place: Path, folder: Folder, found: Found, things: Sequence[Thing], options: TakeOptions) -> _Layers:
    """Return layers of one source, without copies; what is left is told."""
    copies = identical(things) if len(things) > 1 else {}
    raw = gather([thing for thing in things if thing.path not in copies], str(place), options)
    raw = replace(raw, findings=[*raw.findings, *closed_findings(found), *_left(found, copies)])
    return _Layers(raw, raw, folder, frozenset(thing.where for thing in things))


def _without_dated(source: PlacedLayers, options: TakeOptions) -> PlacedLayers:
    """Return layers without older copies; those that fit a pattern of a person are all meant."""
    if options.take or source.carried is not None:
        return source
    paths = item_paths(source.tables)
    copies = dated_copies(source.tables, paths, options)
    told = [
        COPY_LEFT_OUT.at(
            Place(file=source.tables[name].file),
            layer=paths[name],
            reason=copy.why,
            differing=copy.differing and counted(copy.differing, "row"),
        )
        for name, copy in copies.items()
    ]
    tables = {name: table for name, table in source.tables.items() if name not in copies}
    return replace(source, tables=tables, findings=[*source.findings, *told])


def _wanted(raw: RawLayers, options: TakeOptions, place: Path) -> RawLayers:
    """Return the layers that fit the patterns that were given; what was said of none of them is told."""
    paths = item_paths(raw.tables)
    told = [
        FITS_NOTHING.at(Place(), what=f"{said[:1].upper()}{said[1:]}") for said in options.unfitting([*paths.values()])
    ]
    tables = fitting(raw.tables, paths, options.take, place) if options.take else raw.tables
    return replace(raw, tables=tables, findings=[*raw.findings, *told])


def fitting(
    tables: dict[str, RawTable], paths: dict[str, str], patterns: Sequence[str], place: Path
) -> dict[str, RawTable]:
    """Return the tables of items that fit a pattern."""
    wanted = {
        name: table for name, table in tables.items() if any(_fits(pattern, place, paths[name]) for pattern in patterns)
    }
    if not wanted:
        raise none_fits(place, patterns, [*paths.values()])
    return wanted


def closed_findings(found: Found) -> Iterator[Finding]:
    """Yield a finding for each folder and archive that could not be looked into."""
    for path, error in found.closed:
        reason = f"it {error.what}" + (f" ({error.why})" if error.why else "")
        yield from with_unread([UNREADABLE_LAYER.at(Place(file=path), layer=path, reason=reason)])


def _left(found: Found, copies: dict[str, str]) -> Iterator[Finding]:
    """Yield a finding for each copy, each raster and each file named as a layer is that is not taken."""
    for copy, original in copies.items():
        yield COPY_LEFT_OUT.at(Place(file=copy), layer=copy, reason=f"it holds the same as {original}", differing=0)
    for thing in found.things:
        if thing.kind is ThingKind.RASTER:
            reason = "it is a raster, which is read as a rate map alone"
            yield LAYER_LEFT_OUT.at(Place(file=thing.path), layer=thing.path, reason=reason)
    endings = {ending for form in formats_of_layers() for ending in (*form.suffixes, *form.only_read, *form.beside)}
    for path, why in found.aside:
        if Path(path).suffix.lower() in endings:
            yield LAYER_LEFT_OUT.at(Place(file=path), layer=path, reason=why)

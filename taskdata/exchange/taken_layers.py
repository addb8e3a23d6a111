"""The layers that are read of a source, all of them together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from taskdata.amounts import counted
from taskdata.errors import SourceError, UsageError
from taskdata.exchange.found.copies import identical
from taskdata.exchange.found.dated import dated_copies
from taskdata.exchange.found.gathering import gather
from taskdata.exchange.found.locating import Located
from taskdata.exchange.found.neighbours import grounds_in
from taskdata.exchange.found.refusals import none_fits
from taskdata.exchange.found.things import Found, Thing, ThingKind
from taskdata.file_formats.table import formats_of_layers, joined
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.patterns import fits_below
from taskdata.formats.placing.deciding import grounds_of
from taskdata.formats.placing.ground import Ground
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import RawLayers, placed
from taskdata.formats.unread import with_unread
from taskdata.raised_rules.import_.copy_left_out import RULE as COPY_LEFT_OUT
from taskdata.raised_rules.import_.fits_nothing import RULE as FITS_NOTHING
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER


def layers_of(
    place: Path,
    located: Located,
    things: Sequence[Thing],
    found: Found | None,
    options: TakeOptions,
    *,
    partial: bool,
    beside: Sequence[Ground],
) -> PlacedLayers:
    """Return layers of a source in WGS 84.

    Parameters
    ----------
    located, things : Located, sequence of Thing
        What stands at ``place``, and the files or tables that are meant.
    found : Found or None
        Everything in the folder of the source, among which there may be copies; None where the source is a file.
    options, partial, beside
        As for `formats.read.placed`.

    Raises
    ------
    SourceError, UsageError
        As for `taking.take`.
    """
    if found is not None:
        meant = whole = _together(place, found, things, options)
    else:
        whole = gather(list(things), str(place), options)
        meant = whole if located.layer is None else only(whole, located.layer, place)
    wanted = _wanted(meant, options, place)
    left = {name: raw for name, raw in whole.tables.items() if name not in wanted.tables}
    known = (*beside, *grounds_of(left, options.crs))
    try:
        layers = placed(wanted, options, partial=partial, beside=known)
    except UsageError:
        more = grounds_in(located.folder, frozenset(thing.where for thing in things), options)
        if not more:
            raise
        layers = placed(wanted, options, partial=partial, beside=(*known, *more))
    return layers if found is None else _without_dated(layers, options)


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


def _together(place: Path, found: Found, things: Sequence[Thing], options: TakeOptions) -> RawLayers:
    """Return layers of one source, without copies; what is left is told."""
    copies = identical(things) if len(things) > 1 else {}
    raw = gather([thing for thing in things if thing.path not in copies], str(place), options)
    return replace(raw, findings=[*raw.findings, *closed_findings(found), *_left(found, copies)])


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
        name: table
        for name, table in tables.items()
        if any(fits_below(pattern, place.name, paths[name]) for pattern in patterns)
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

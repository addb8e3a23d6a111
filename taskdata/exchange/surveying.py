"""What lies on a stick: each thing in a folder or archive at any depth, and what it most likely is.

All layers are read and judged together, so that neighbours count; sets are read for their size and where they lie.
What cannot be read is named with the reason, and costs nothing but itself.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Unpack

from taskdata.errors import SourceError, TaskdataError, UsageError
from taskdata.exchange.found.contents import copy_to
from taskdata.exchange.found.copies import identical
from taskdata.exchange.found.dated import dated_copies
from taskdata.exchange.found.gathering import Gathered, gathered, room, together
from taskdata.exchange.found.layer_facts import box_of, judged_layers, stated_system
from taskdata.exchange.found.locating import Located, is_set_alone, located_at
from taskdata.exchange.found.things import Found, Thing, ThingKind, below
from taskdata.exchange.found.walking import found_at
from taskdata.exchange.load import load
from taskdata.exchange.taken_layers import closed_findings, fitting, only
from taskdata.exchange.taking import chosen
from taskdata.file_formats.table import ISOXML
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.foreign.options import Reading, TakeOptions
from taskdata.formats.foreign.roles.judgement import Judgement
from taskdata.formats.layers.of_dataset import is_own
from taskdata.formats.placing.deciding import guesses_of
from taskdata.formats.placing.ground import Ground
from taskdata.formats.read import RawLayers, placed
from taskdata.formats.unread import with_unread
from taskdata.geometry.system_names import short_name
from taskdata.isoxml.files.folders import DiskFolder
from taskdata.model.whereabouts import bounds, bounds_of
from taskdata.paths import named_path
from taskdata.progress import each
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER
from taskdata.results.survey import CrsGuess, Item, ItemKind, Survey

_RASTERS = "taskdata.exchange.found.rasters"
"""Loaded by name when a raster is found: the library behind it takes half a second."""

_ANYWHERE = "EPSG:32632"
"""A system in metres by which shapes are judged of which it is not known where they lie."""


def survey(path: str | os.PathLike[str], **reading: Unpack[Reading]) -> Survey:
    """List what lies on a stick, in a folder, archive or file, and what each thing most likely is.

    Parameters
    ----------
    path : path
        Whatever may hold task data or layers, at any depth, archives in it included.
    **reading
        What is known about it, as for ``read``.

    Returns
    -------
    Survey
        Each thing with the path to give, and what was left aside. Positions are in degrees of WGS 84.

    Raises
    ------
    SourceError
        Nothing is there, or it cannot be looked into.
    UsageError
        No item fits a pattern.

    Examples
    --------
    >>> import taskdata
    >>> found = taskdata.survey("samples/season")
    >>> [(item.path, str(item.kind), item.format) for item in found.items][0]
    ('drill/TASKDATA', 'taskdata', 'isoxml')
    """
    place, options = named_path(path), TakeOptions.of(reading)
    located = located_at(place)
    if is_set_alone(located):
        found = Found([Thing("", ThingKind.SET, located.folder)])
    else:
        found = found_at(place, located)
        found = chosen(found, place, options.take) if options.take else found
    return _Surveying(place, found, options, located).survey()


def survey_of_found(place: Path, found: Found, located: Located, options: TakeOptions) -> Survey | None:
    """Return what was found at a place that is not one set; see ``survey_of_several``."""
    if located.blob is None:
        return _Surveying(place, found, options, located).survey()
    read = gathered(found.things, options)
    if not read.layers or any(layers.side or any(map(is_own, layers.tables.values())) for layers in read.layers):
        return None
    return _Surveying(place, found, options, located, read).survey()


class _Surveying:
    """One survey: what was found becomes items, each read once."""

    def __init__(
        self, place: Path, found: Found, options: TakeOptions, located: Located, read: Gathered | None = None
    ) -> None:
        self.place, self.found, self.options, self.located = place, found, options, located
        self.read = read or gathered(found.layers, options)
        self.findings: list[Finding] = []
        self.aside = list(found.aside)
        self.things = {thing.path: thing for thing in found.things}
        self.copies = identical([thing for thing in found.things if thing.kind is not ThingKind.RASTER])
        self.grounds: list[Ground] = []

    def survey(self) -> Survey:
        """Return the items by path, and what was left aside."""
        whole = {layers.path for layers in self.read.layers if layers.side}
        sets = [thing for thing in self.found.things if thing.is_set or thing.where in whole]
        items = [item for thing in each(sets, "Reading sets", "sets") if (item := self._set(thing)) is not None]
        items += self._layers(replace(self.read, layers=[item for item in self.read.layers if not item.side]))
        rasters = (thing for thing in self.found.things if thing.kind is ThingKind.RASTER)
        items += [item for thing in rasters if (item := self._raster(thing)) is not None]
        self.findings += closed_findings(self.found)
        self.aside += [
            (finding.place.file or "", str(finding.facts["reason"])) for finding in self.findings if _is_lost(finding)
        ]
        listed = sorted((self._told(item) for item in items), key=lambda item: item.path)
        return Survey(str(self.place), tuple(listed), tuple(sorted(set(self.aside))), tuple(self.findings))

    def _told(self, item: Item) -> Item:
        """Return an item with its path below the source, and whether it is a copy."""
        original = self.copies.get(item.path)
        why = item.why if original is None else f"{item.why}; it is a copy of {original}"
        path = item.path
        if self.located.blob is not None:
            path = path.removeprefix(self.located.blob.name).removeprefix("/")
        return replace(item, path=path or ".", why=why)

    def _set(self, thing: Thing) -> Item | None:
        form = ISOXML if thing.form is None else thing.form.name
        try:
            data = load(thing.where, partial=True).dataset
        except (SourceError, UsageError) as error:
            self.findings.append(_unreadable(thing.path or ".", error))
            return None
        self.findings += [_below(finding, thing.path) for finding in data.findings if finding.unread is not None]
        box, why = bounds(data), "it holds TASKDATA.XML" if thing.form is None else "its layers carry a task data set"
        if box is not None:
            self.grounds.append(Ground.around(thing.path or self.place.name, box))
        return Item(thing.path, ItemKind.TASKDATA, form, sum(data.counts.values()), 1.0, why, bounds=box)

    def _layers(self, read: Gathered) -> list[Item]:
        if not read.layers:
            self.findings += read.told
            return []
        raw = together(read, str(self.place))
        if self.located.layer is not None:
            raw = only(raw, self.located.layer, self.place)
        paths = item_paths(raw.tables)
        if self.options.take:
            raw = replace(raw, tables=fitting(raw.tables, paths, self.options.take, self.place))
        try:
            found = placed(raw, self.options, partial=True, beside=self.grounds)
            tables, self.findings = found.tables, [*self.findings, *found.findings]
        except (SourceError, UsageError):  # of none of them it is known where it lies
            tables, self.findings = {}, [*self.findings, *raw.findings]
        return [*self._items(raw, tables, paths)]

    def _items(self, raw: RawLayers, tables: Mapping[str, RawTable], paths: Mapping[str, str]) -> Iterator[Item]:
        own = frozenset(name for name, table in raw.tables.items() if is_own(table))
        guesses = guesses_of(raw.tables, self.options.crs, own, self.grounds)
        originals = {name: table for name, table in tables.items() if paths[name] not in self.copies}
        dated = dated_copies(originals, paths, self.options)
        judged = self._judged(raw, tables, guesses, [name for name in tables if name in dated or name not in originals])
        for name, table in raw.tables.items():
            thing = self.things[table.file]
            form = "" if thing.form is None else thing.form.name
            judgement = judged[name]
            yield Item(
                paths[name],
                judgement.kind,
                form,
                table.table.num_rows,
                judgement.confidence,
                "; ".join([judgement.why, *([dated[name].why] if name in dated else [])]),
                columns=judgement.columns,
                crs=stated_system(table),
                guess=guesses.get(name),
                width_m=judgement.width_m,
                bounds=box_of(tables[name]) if name in tables else None,
            )

    def _judged(
        self,
        raw: RawLayers,
        tables: Mapping[str, RawTable],
        guesses: Mapping[str, CrsGuess],
        copies: Sequence[str],
    ) -> dict[str, Judgement]:
        """Return what each layer is: copies by themselves, and those that cannot be placed where they would lie."""
        meant = {name: table for name, table in tables.items() if name not in copies}
        judged = judged_layers(meant, self.options)
        for name in copies:
            judged |= judged_layers({name: tables[name]}, self.options)
        for name, table in raw.tables.items():
            if name not in tables:
                crs = guesses[name].crs if name in guesses else _ANYWHERE
                alone = replace(raw, tables={name: replace(table, crs=crs)}, side={}, findings=[])
                try:
                    there = placed(alone, self.options).tables
                except (SourceError, UsageError):
                    there = alone.tables
                judged |= judged_layers(there, self.options)
        return judged

    def _raster(self, thing: Thing) -> Item | None:
        (blob,) = thing.files
        try:
            with room() as space:
                folder = space.folder(thing.folder)
                if not isinstance(thing.folder, DiskFolder):
                    copy_to(thing.folder, blob, folder / blob.name)
                raster = import_module(_RASTERS).raster_at(folder / blob.name)
        except (SourceError, UsageError) as error:
            self.findings.append(_unreadable(thing.path, error))
            return None
        return Item(
            thing.path,
            raster.kind,
            Path(blob.name).suffix.lower().lstrip("."),
            raster.cells,
            raster.confidence,
            raster.why,
            crs=None if raster.crs is None else short_name(raster.crs),
            bounds=None if raster.corners is None else bounds_of([raster.corners]),
        )


def _unreadable(path: str, error: TaskdataError) -> Finding:
    reason = f"it {error.what}" + (f" ({error.why})" if error.why else "")
    (finding,) = with_unread([UNREADABLE_LAYER.at(Place(file=path), layer=path, reason=reason)])
    return finding


def _below(finding: Finding, path: str) -> Finding:
    """Return a finding of a set with the path of its file below the source."""
    unread, file = finding.unread, finding.place.file
    return replace(
        finding,
        place=replace(finding.place, file=below(path, file) if file else path),
        unread=None if unread is None else replace(unread, file=below(path, unread.file)),
    )


def _is_lost(finding: Finding) -> bool:
    return finding.rule is UNREADABLE_LAYER and finding.unread is not None

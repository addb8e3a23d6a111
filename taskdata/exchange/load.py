"""Any source to the model."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Unpack

from taskdata.collector import collector_at_rest
from taskdata.errors import SourceError
from taskdata.exchange.found.locating import locate
from taskdata.exchange.log_widths import take_widths
from taskdata.exchange.losses_from_findings import losses_from_findings
from taskdata.exchange.refusing import refused
from taskdata.exchange.swath_layers import take_swaths
from taskdata.exchange.taking import take
from taskdata.exchange.twice import fields_twice
from taskdata.fieldwork.outlines.derived_fields import with_derived_fields
from taskdata.fieldwork.swaths.log_widths import with_widths
from taskdata.fieldwork.swaths.swath_tasks import with_swaths
from taskdata.file_formats.table import listed, readable
from taskdata.findings import Finding, Place
from taskdata.formats.detect import detect, detect_content
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.foreign.foreign_layers import judged_layers, plain
from taskdata.formats.foreign.letters import with_letters
from taskdata.formats.foreign.options import Reading, TakeOptions
from taskdata.formats.placing.ground import Ground
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.isoxml.files.opening import is_file_set, sets_in
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.side_tables.carry import from_tables
from taskdata.isoxml.to_document.apply import apply
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.model.dataset import Dataset
from taskdata.paths import named_path
from taskdata.raised_rules.import_.crs_not_applied import RULE as CRS_NOT_APPLIED
from taskdata.results.reading import Loaded


def load(
    path: str | os.PathLike[str],
    *,
    partial: bool = False,
    beside: Sequence[Ground] = (),
    **reading: Unpack[Reading],
) -> Loaded:
    """Read a source of any format, told by its content.

    Parameters
    ----------
    path : path
        A file set (folder, stick, main file, zip), or layers in a format that ``file_formats`` lists, as a file, a
        folder, or a zip archive of them.
    partial : bool
        Leave out layers of which it is not known what their coordinates are in, with a finding, as long as another can
        be read.
    beside : sequence of Ground
        Where other data of the farm lies, which tells the system of a layer that states none.
    **reading
        See `TakeOptions`.

    Raises
    ------
    SourceError
        Nothing readable is there.
    UsageError
        There are several sets and none is that of the stick; the message names each.
        Coordinates are in metres and nothing says in which system; or there is no system ``crs``.
    """
    place = named_path(path)
    options = TakeOptions.of(reading)
    try:
        if locate(place) is None:
            raise SourceError("does not exist", where=place, remedy="Check the path")
        with collector_at_rest():
            return _load(place, options, beside, partial=partial)
    except OSError as error:
        inside = str(error.filename or "").startswith(os.path.join(place, ""))  # and not in a folder of our own
        raise SourceError("could not be read", where=error.filename if inside else place, why=error.strerror) from error


def _load(place: Path, options: TakeOptions, beside: Sequence[Ground], *, partial: bool) -> Loaded:
    taken = take(place, options, partial=partial, beside=beside)
    if taken.layers is not None:
        return _of_layers(taken.layers, options)
    at = taken.set_at or place
    _refuse_unknown(at)
    dataset = to_dataset(read_document(at, rescue=options.rescue))
    noted = (*dataset.noted, *taken.notes, *_unneeded(at, options.crs))
    return _with_outlines(Loaded(dataset.with_changes(source=str(place), noted=noted)), options)


def _of_layers(source: PlacedLayers, options: TakeOptions) -> Loaded:
    if source.carried is not None:
        return _with_outlines(_merged(source, source.carried, options), options)
    source = with_letters(source)
    judged = judged_layers(source, options)
    taken = take_swaths(source, options, judged)
    widths = take_widths(taken.rest, options, judged)
    dataset = with_widths(plain(widths.rest, options, widths.judged), widths.logs)
    noted = (*dataset.noted, *widths.findings, *taken.findings, *fields_twice(dataset))
    dataset = with_swaths(dataset.with_changes(noted=noted), taken.layers)
    loaded = _loaded(dataset, source, (*dataset.losses, *losses_from_findings(dataset.findings)))
    return _with_outlines(loaded, options)


def _unneeded(place: Path, crs: str | None) -> Iterator[Finding]:
    """Yield a finding where the user gave a system of coordinates for a set that can have no other than WGS 84."""
    if crs is not None:
        yield CRS_NOT_APPLIED.at(Place(), crs=crs, layer=place.name, reason="task data is always in WGS 84")


def _refuse_unknown(place: Path) -> None:
    """Refuse a file that neither looks like one of the formats nor is named like a set."""
    named_so = place.suffix.lower() in {".xml", ".zip"}
    if place.is_file() and place.stat().st_size and not named_so and not is_file_set(place):
        raise SourceError(
            "is in an unknown format",
            where=place,
            remedy=f"Give {listed(readable())}",
        )


def _merged(source: PlacedLayers, carried: Carried, options: TakeOptions) -> Loaded:
    """Build the document again that the layers were written from, and lay over it what was changed in them."""
    document = from_tables(carried, source.path)
    base = to_dataset(document)
    taken = take_swaths(source, options, {})
    merged, losses = merge(base, taken.rest)
    recovered = with_swaths(merged, taken.layers)
    dataset = base
    if recovered is not base:
        document.before = (copy_document(document),)
        losses = [*losses, *apply(document, base, recovered)]
        dataset = to_dataset(document)
    noted = (*source.findings, *dataset.noted, *recovered.noted[len(merged.noted) :], *refused(losses))
    dataset = dataset.with_changes(source=source.path, format=source.format, noted=noted)
    return _loaded(dataset, source, (*losses, *losses_from_findings(source.findings)))


def _with_outlines(loaded: Loaded, options: TakeOptions) -> Loaded:
    """Derive fields where that is wanted; a document behind the records gets them too."""
    if not options.derive_fields:
        return loaded
    dataset = with_derived_fields(loaded.dataset)
    document = document_behind(loaded.dataset)
    losses: tuple[Loss, ...] = ()
    if document is not None and dataset.changed:
        document.before = document.before or (copy_document(document),)
        losses = tuple(apply(document, loaded.dataset, dataset))
        dataset = to_dataset(document).with_changes(
            source=dataset.source, format=dataset.format, noted=dataset.noted, losses=(*dataset.losses, *losses)
        )
    return replace(loaded, dataset=dataset, losses=(*loaded.losses, *losses))


def _loaded(dataset: Dataset, source: PlacedLayers, losses: tuple[Loss, ...]) -> Loaded:
    """Return what was read of layers; the data set keeps what was not, for whoever writes it."""
    return Loaded(dataset.with_changes(losses=losses), source.datum, losses)


def find_sets(path: str | os.PathLike[str]) -> tuple[str, ...]:
    """Return the path of every set in a folder, stick or archive, at any depth; each is a source of its own.

    Parameters
    ----------
    path : path
        What may hold several sets, in folders and archives.

    Returns
    -------
    tuple of str
        Paths as ``read`` takes them, the folder TASKDATA of the stick first; beside several sets also those of folders
        and archives that could not be looked into. The path itself where it is that of a set or of layers, or where
        not more than one set is there.

    Examples
    --------
    >>> import taskdata
    >>> taskdata.find_sets("samples/season")[:2]
    ('samples/season/drill/TASKDATA', 'samples/season/sprayer/TASKDATA')
    """
    place = named_path(path)
    try:
        layers = place.is_file() and (detect_content(place) or (None if is_file_set(place) else detect(place)))
    except OSError:  # reading it says why
        layers = None
    return (os.fspath(path),) if layers else sets_in(path)


def document_behind(dataset: Dataset) -> Document | None:
    """Return the lossless document that records were read from, None where there is none."""
    return dataset.lossless if isinstance(dataset.lossless, Document) else None

"""Layers that were read and placed, to the model."""

from __future__ import annotations

from dataclasses import replace

from taskdata.exchange.behind import document_behind
from taskdata.exchange.log_widths import take_widths
from taskdata.exchange.losses_from_findings import losses_from_findings
from taskdata.exchange.refusing import refused
from taskdata.exchange.swath_layers import take_swaths
from taskdata.exchange.twice import fields_twice
from taskdata.fieldwork.outlines.derived_fields import with_derived_fields
from taskdata.fieldwork.swaths.log_widths import with_widths
from taskdata.fieldwork.swaths.swath_tasks import with_swaths
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.foreign.foreign_layers import judged_layers, plain
from taskdata.formats.foreign.letters import with_letters
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.isoxml.side_tables.carry import from_tables
from taskdata.isoxml.to_document.apply import apply
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.copying import copy_document
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.model.dataset import Dataset
from taskdata.results.reading import Loaded


def of_layers(source: PlacedLayers, options: TakeOptions) -> Loaded:
    """Return what layers hold; fields are derived where that is wanted."""
    loaded = _read(source, options)
    return with_outlines(loaded) if options.derive_fields else loaded


def _read(source: PlacedLayers, options: TakeOptions) -> Loaded:
    if source.carried is not None:
        return _merged(source, source.carried, options)
    source = with_letters(source)
    judged = judged_layers(source, options)
    taken = take_swaths(source, options, judged)
    widths = take_widths(taken.rest, options, judged)
    dataset = with_widths(plain(widths.rest, options, widths.judged), widths.logs)
    noted = (*dataset.noted, *widths.findings, *taken.findings, *fields_twice(dataset))
    dataset = with_swaths(dataset.with_changes(noted=noted), taken.layers)
    return _loaded(dataset, source, (*dataset.losses, *losses_from_findings(dataset.findings)))


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


def with_outlines(loaded: Loaded) -> Loaded:
    """Derive fields; a document behind the records gets them too."""
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

"""Any source to the model."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from taskdata.errors import SourceError
from taskdata.formats import detect, merge, plain, read_source
from taskdata.formats.datum import Datum
from taskdata.isoxml.carry import from_tables
from taskdata.isoxml.document import Document
from taskdata.isoxml.read import read_document
from taskdata.isoxml.source import is_file_set
from taskdata.isoxml.to_document.apply import apply
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was read: the records, how coordinates were brought to WGS 84, and what could not be taken over."""

    dataset: Dataset
    datum: Datum | None = None
    losses: tuple[Loss, ...] = ()


def load(path: str | os.PathLike[str], *, crs: str | None = None, name_column: str | None = None) -> Loaded:
    """Read a source of any format, told by its content.

    Parameters
    ----------
    path : path
        A file set (folder, stick, main file, zip), GeoJSON, shapefile, GeoPackage or GeoParquet, alone or as a folder.
    crs : str, optional
        Coordinate reference system of layers that do not name one, such as ``EPSG:25832``.
    name_column : str, optional
        Column that holds the names, in layers that this program did not write.

    Raises
    ------
    SourceError
        Nothing readable is there.
    UsageError
        Coordinates are in metres and nothing says in which system.
    """
    place = Path(path)
    if not place.exists():
        raise SourceError("does not exist", where=place, remedy="Check the path")
    if is_file_set(place):
        return Loaded(to_dataset(read_document(place)))
    kind = detect(place)
    if kind is None:
        return Loaded(to_dataset(read_document(place)))
    source = read_source(place, kind, crs=crs)
    if source.carried is None:
        return Loaded(plain(source, name_column=name_column), source.datum)
    document = from_tables(source.carried, str(path))
    base = to_dataset(document)
    merged, losses = merge(base, source)
    dataset = base
    if merged is not base:
        losses = [*losses, *apply(document, base, merged)]
        dataset = to_dataset(document)
    findings = (*source.findings, *dataset.findings)
    dataset = dataset.with_changes(source=str(path), format=kind, findings=findings)
    return Loaded(dataset, source.datum, tuple(losses))


def document_behind(dataset: Dataset) -> Document | None:
    """Return the lossless document that records were read from, None where there is none."""
    return dataset.lossless if isinstance(dataset.lossless, Document) else None

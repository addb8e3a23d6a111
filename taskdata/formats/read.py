"""GIS sources into tables in WGS 84."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from taskdata.errors import SourceError, UsageError
from taskdata.file_formats.declaration import Format
from taskdata.file_formats.table import format_named, formats_of_layers, listed
from taskdata.findings import Finding, Place
from taskdata.formats import side_tables
from taskdata.formats.base import RawTable, Tables
from taskdata.formats.detect import detect, layer_files, other_files
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.layers.of_dataset import is_own, own_name
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.placing.to_wgs84 import layer_to_wgs84
from taskdata.formats.registry import reader
from taskdata.formats.unread import with_unread
from taskdata.raised_rules.import_.crs_unknown import RULE as CRS_UNKNOWN
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT
from taskdata.results.reading import Datum


def read(
    path: Path | str, form: str | None = None, options: TakeOptions | None = None, *, partial: bool = False
) -> PlacedLayers:
    """Read a GIS source.

    Parameters
    ----------
    path : path
        A file, or a folder of layers.
    form : str, optional
        Name of the format; told by content when not given.
    options : TakeOptions, optional
        What a person says about it.
    partial : bool
        Leave out a layer of which it is not known what its coordinates are in, with a finding, as long as another one
        can be read.

    Raises
    ------
    SourceError
        Nothing in it can be read.
    UsageError
        A layer does not say what its coordinates are in, and they are no degrees; or there is no system ``crs``.
    """
    source, options = Path(path), options or TakeOptions()
    form = form or detect(source)
    if form is None:
        raise SourceError(
            "The source is in an unknown format",
            where=source,
            remedy=f"Give {listed(formats_of_layers())}.",
        )
    found = reader(form).read(source, layer_files(source, format_named(form)))
    _recognize(source, found)
    side = {name: found.tables.pop(name).table for name in side_tables.SPECS if name in found.tables}
    findings: list[Finding] = [*with_unread(found.findings), *_others(source, format_named(form))]
    tables: dict[str, RawTable] = {}
    changes: dict[str, Datum] = {}
    refused: list[SourceError | UsageError] = []
    for name, raw in found.tables.items():
        try:
            table, change, notes = layer_to_wgs84(raw, options.crs, str(source), own=bool(side) or is_own(raw))
        except (SourceError, UsageError) as error:
            if not partial:
                raise
            refused.append(error)
            place = Place(file=raw.file)
            findings.append(CRS_UNKNOWN.at(place, layer=raw.label, reason=error.why or error.what))
            continue
        tables[name] = table
        findings.extend(notes)
        if change is not None:
            changes[name] = change
    if refused and not tables:
        raise refused[0]
    carried = side_tables.from_tables(side, str(source))
    return PlacedLayers(str(path), form, tables, carried, findings, changes)


def _others(source: Path, form: Format) -> Iterator[Finding]:
    """Yield a finding for each file of a folder that holds layers in another format than is read."""
    for path, other in other_files(source, form):
        reason = f"it is {other.phrase}, and the folder is read as {form.label}"
        yield LAYER_LEFT_OUT.at(Place(file=path.name), layer=path.name, reason=reason)


def _recognize(source: Path, found: Tables) -> None:
    """Call the one layer in a file by its name among this package's layers, whatever the file is called."""
    layers = [raw for name, raw in found.tables.items() if name not in side_tables.SPECS]
    if source.is_file() and len(layers) == 1:
        (raw,) = layers
        del found.tables[raw.name]
        found.add(replace(raw, name=own_name(raw)))

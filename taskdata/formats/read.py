"""GIS sources into tables in WGS 84."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from pathlib import Path
from types import MappingProxyType

import pyarrow as pa

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UsageError
from taskdata.file_formats.table import format_named, formats_of_layers, listed
from taskdata.findings import Finding, Place
from taskdata.formats import side_tables
from taskdata.formats.base import RawTable, Tables, TextReader, item_paths
from taskdata.formats.detect import detect, layer_files
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.layers.of_dataset import is_own, own_name
from taskdata.formats.placing.deciding import Said, decide
from taskdata.formats.placing.ground import Ground
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.placing.reasons import offer_briefly
from taskdata.formats.placing.to_wgs84 import layer_to_wgs84
from taskdata.formats.registry import reader
from taskdata.formats.unread import with_unread
from taskdata.raised_rules.import_.crs_unknown import RULE as CRS_UNKNOWN
from taskdata.results.reading import Datum


@dataclass(frozen=True)
class RawLayers:
    """The layers of a source as they stand in it.

    Parameters
    ----------
    path, format : str
        Where they were read from and how.
    tables : dict of str to RawTable
        Layers by name.
    side : dict of str to pyarrow.Table
        The side tables among them, by name.
    findings : list of Finding
        What reading found wrong.
    """

    path: str
    format: str
    tables: dict[str, RawTable]
    side: dict[str, pa.Table] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)


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
    return placed(raw_layers(path, form), options or TakeOptions(), partial=partial)


def raw_layers(
    path: Path | str,
    form: str | None = None,
    files: Sequence[Path] = (),
    encodings: Mapping[str, str] = MappingProxyType({}),
) -> RawLayers:
    """Return the layers of a GIS source as they stand in it.

    Parameters
    ----------
    files : sequence of path
        Those of a folder to read; all of its format when not given.
    encodings : mapping of str to str
        In which encodings the texts of files are, by their names, where a person says it.

    Raises
    ------
    SourceError
        Nothing in it can be read.
    """
    source = Path(path)
    form = form or detect(source)
    if form is None:
        raise SourceError(
            "The source is in an unknown format",
            where=source,
            remedy=f"Give {listed(formats_of_layers())}.",
        )
    driver, files = reader(form), files or layer_files(source, format_named(form))
    texts = driver if encodings and isinstance(driver, TextReader) else None
    found = driver.read(source, files) if texts is None else texts.read_texts(source, files, encodings)
    _recognize(source, found)
    side = {name: found.tables.pop(name).table for name in side_tables.SPECS if name in found.tables}
    return RawLayers(str(path), form, found.tables, side, list(with_unread(found.findings)))


def placed(
    raw_layers: RawLayers, options: TakeOptions, *, partial: bool = False, beside: Sequence[Ground] = ()
) -> PlacedLayers:
    """Return layers in WGS 84.

    Parameters
    ----------
    raw_layers : RawLayers
        Layers as they stand in their files.
    options, partial
        As for `read`.
    beside : sequence of Ground
        Where data beside these layers lies, which tells the system of a layer that states none.

    Raises
    ------
    SourceError, UsageError
        As for `read`.
    """
    findings = list(raw_layers.findings)
    tables: dict[str, RawTable] = {}
    changes: dict[str, Datum] = {}
    refused: list[SourceError | UsageError] = []
    own = frozenset(name for name, raw in raw_layers.tables.items() if raw_layers.side or is_own(raw))
    said = Said(options.crs, options.accept_guess, _by_name(raw_layers.tables, options))
    for name, decision in decide(raw_layers.tables, said, own, beside).items():
        raw, doubt = decision.raw, decision.doubt
        crs = None if name in said.by_name else options.crs
        try:
            table, change, notes = layer_to_wgs84(raw, crs, raw_layers.path, own=name in own, doubt=doubt)
        except (SourceError, UsageError) as error:
            if not partial:
                raise
            refused.append(error)
            place = Place(file=raw.file)
            likely = "" if doubt is None or doubt.guess is None else f"; {offer_briefly(doubt.guess)}"
            reason = f"{error.why or error.what}{likely}"
            findings.append(CRS_UNKNOWN.at(place, layer=raw.label, reason=reason))
            continue
        tables[name] = table
        findings.extend((*decision.findings, *notes))
        if change is not None:
            changes[name] = change
    if refused and not tables:
        raise refused[0]
    carried = side_tables.from_tables(raw_layers.side, raw_layers.path)
    return PlacedLayers(raw_layers.path, raw_layers.format, tables, carried, findings, changes)


def _by_name(tables: Mapping[str, RawTable], options: TakeOptions) -> dict[str, str]:
    """Return the systems that a mapping file gives for single layers, by the names of these."""
    given = {name: options.said_of(path).crs for name, path in item_paths(tables).items()}
    return {name: crs for name, crs in given.items() if crs is not None}


def _recognize(source: Path, found: Tables) -> None:
    """Call the one layer in a file by its name among this package's layers, whatever the file is called."""
    layers = [raw for name, raw in found.tables.items() if name not in side_tables.SPECS]
    if source.is_file() and len(layers) == 1:
        (raw,) = layers
        del found.tables[raw.name]
        found.add(replace(raw, name=own_name(raw)))

"""A data set as tables for Python, and tables as a data set."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from importlib import import_module
from typing import Any

import pyarrow as pa

from taskdata.errors import UsageError
from taskdata.exchange.agreement import in_agreement
from taskdata.exchange.losses_from_findings import losses_from_findings
from taskdata.exchange.refusing import refused
from taskdata.findings import Finding
from taskdata.formats.base import RawTable
from taskdata.formats.columns import KEY
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.edits.task_drafts import same_table
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.layers.of_dataset import SPECS
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.placing.to_wgs84 import layer_to_wgs84
from taskdata.formats.tables.geoarrow import with_geoarrow, without_geoarrow
from taskdata.formats.tables.physical import physical_table, unit_of
from taskdata.formats.tables.stored import with_units
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.model.lookup import nearest
from taskdata.phrases import phrase
from taskdata.quantities.units import System

SOURCE = "frames"
"""What stands for the path of a source where records come from tables."""
_LOGS = ("log_records", "log_values")


def layer_table(dataset: Dataset, name: str, units: System = "metric") -> pa.Table:
    """Return a layer as an Arrow table in physical units, with GeoArrow metadata.

    Raises
    ------
    UsageError
        There is no such layer, or no such units.
    """
    _refuse_unknown(name)
    return with_geoarrow(physical_table(dataset, name, units))


def layer_frame(dataset: Dataset, name: str, units: System = "metric") -> Any:
    """Return a layer as a GeoDataFrame; whole numbers and truths that may be missing as pandas' nullable types.

    Raises
    ------
    UsageError
        geopandas is not installed; there is no such layer, or no such units.
    """
    try:
        geopandas, pandas = import_module("geopandas"), import_module("pandas")
    except ImportError as error:
        raise UsageError(
            "a GeoDataFrame needs geopandas, which is not installed",
            remedy="Install it, for example with pip install 'taskdata[geopandas]', or take `table`",
        ) from error
    table = layer_table(dataset, name, units)
    kinds = {pa.int64(): pandas.Int64Dtype(), pa.bool_(): pandas.BooleanDtype()}
    frame = geopandas.GeoDataFrame.from_arrow(table, to_pandas_kwargs={"types_mapper": kinds.get})
    frame = frame.set_crs("EPSG:4326", allow_override=True)
    frame.attrs["units"] = {field.name: unit for field in table.schema if (unit := unit_of(field)) is not None}
    return frame


def dataset_of_tables(tables: Mapping[str, Any], base: Dataset | None, units: System = "metric") -> Dataset:
    """Return the data set that tables make: on their own, or laid over the one that they were taken from.

    Parameters
    ----------
    tables : mapping of str to table
        By the name of the layer: GeoDataFrames, pyarrow Tables, or whatever else offers Arrow streams.
    base : Dataset or None
        What the tables were taken from; layers that are not given stay as they are.
    units : {"metric", "us"}
        In which units rates are where no column says it.

    Raises
    ------
    UsageError
        There is no such layer; a table cannot be read; it lacks the column ``key`` that links it to ``base``, or says
        neither unit nor quantity of rates.
    """
    for name in tables:
        _refuse_unknown(name)
    read = {name: _raw_table(name, table, units) for name, table in tables.items()}
    findings = [finding for _, notes in read.values() for finding in notes]
    if base is None:
        raw = {name: _complete(name, item) for name, (item, _) in read.items() if item.table.num_rows}
        source = _placed(raw, SOURCE, findings)
        dataset = plain(source)
        return dataset.with_changes(losses=(*dataset.losses, *losses_from_findings(dataset.findings)))
    source = _placed({name: table for name, (table, _) in read.items() if name not in _LOGS}, base.source, findings)
    return _laid_over(base, source, _log_losses(base, read, units))


def _laid_over(base: Dataset, source: PlacedLayers, losses: list[Loss]) -> Dataset:
    """Return the data set with the changes in tables, its document too."""
    for name, raw in source.tables.items():
        if KEY not in raw.table.column_names:
            raise UsageError(
                f"the table {name} has no column {KEY}, which links its rows to those of the base",
                remedy=f"Keep {KEY} as the table had it, empty in new rows",
            )
    merged, more = merge(base, source)
    losses += more
    merged, cost = in_agreement(merged)
    losses += cost
    noted = (*source.findings, *merged.noted, *refused(more))
    return merged.with_changes(noted=noted, losses=(*base.losses, *losses, *losses_from_findings(source.findings)))


def _refuse_unknown(name: str) -> None:
    if not isinstance(name, str):
        raise UsageError("a layer is chosen by its name, a text", where=repr(name)[:60])
    if name not in SPECS:
        raise UsageError("there is no such layer", where=name, remedy=nearest(name, SPECS))


def _raw_table(name: str, table: Any, units: System) -> tuple[RawTable, list[Finding]]:
    """Return a table as a driver would have read it from a file."""
    arrow, geometry = _arrow(name, table)
    arrow, crs, findings = without_geoarrow(arrow, name, geometry)
    return RawTable(name, name, with_units(arrow, name, units), crs), findings


def _arrow(name: str, table: Any) -> tuple[pa.Table, str | None]:
    """Return a table as one of pyarrow, and the name of its geometry where it says so."""
    if isinstance(table, pa.Table):
        return table, None
    active = getattr(table, "active_geometry_name", None)
    try:
        if active is not None:
            return pa.table(table.to_arrow(index=False, geometry_encoding="WKB")), active
        if hasattr(table, "__arrow_c_stream__"):
            return pa.table(table), None
    except (pa.ArrowException, TypeError, ValueError) as error:
        raise _unreadable(name, error) from error
    kind = type(table).__name__
    raise UsageError(f"the table {name} is a {kind}", remedy="Give a GeoDataFrame or a pyarrow.Table")


def _unreadable(name: str, error: Exception) -> UsageError:
    """Return why a frame is no table: pyarrow names the column, by the way, where the values of one differ in kind."""
    said = "; ".join(map(str, error.args))
    column = re.search(r"Conversion failed for column (.+) with type", said)
    if column is None:
        return UsageError(f"the table {name} cannot be read", why=said)
    why = phrase("the values of its column {column} are of several kinds, such as texts and numbers", column=column[1])
    return UsageError(f"the table {name} cannot be read", why=why, remedy="Give all values of a column as one kind")


def _placed(raw: Mapping[str, RawTable], path: str, findings: list[Finding]) -> PlacedLayers:
    """Return tables in WGS 84."""
    placed, changes = {}, {}
    for name, item in raw.items():
        placed[name], change, notes = layer_to_wgs84(item, None, path, own=True)
        findings += notes
        if change is not None:
            changes[name] = change
    return PlacedLayers(path, SOURCE, placed, None, findings, changes, whole=False)


def _complete(name: str, raw: RawTable) -> RawTable:
    """Return a table with every column of its layer, so that it is read by them."""
    table = raw.table
    for column in SPECS[name].columns:
        if column.name not in table.column_names:
            table = table.append_column(column.name, pa.nulls(table.num_rows))
    return replace(raw, table=table)


def _log_losses(base: Dataset, read: Mapping[str, tuple[RawTable, list[Finding]]], units: System) -> list[Loss]:
    """Return what is lost of changes in the records of logs, which are never taken over."""
    why = phrase("a log is a record of work done; its files are not changed")
    return [
        Loss(LossKind.DROPPED, None, phrase("changes in {name}", name=name), why)
        for name in _LOGS
        if name in read and not same_table(physical_table(base, name, units), read[name][0].table, SPECS[name].identity)
    ]

"""Logs of new tasks: an element (TLG), a header file and a binary file for each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.isoxml.facts import BinaryField, letter
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.timelog.encode import encode
from taskdata.isoxml.timelog.files import header_of
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import LossKind
from taskdata.model.logs import DAY_ZERO, Log, LogRecords
from taskdata.phrases import phrase

STEP_DEG = 1e-7
"""The step of positions in a binary log (ISO 11783-10, 8.6.3)."""

EFFECTIVE = "4"
"""Type of a time in which work was done (TIM)."""

_DAY = np.timedelta64(1, "D")
_FAR = 2.0**62


def create_log(change: DocumentChange, task: str | None, log: Log) -> Element | None:
    """Make a log with its two files in the document; None where its records cannot be had.

    Every record keeps time, place, height, fix and values. What a record does not know is marked as not available.
    """
    records = log.records
    if records is None:
        change.lose(LossKind.DROPPED, task, phrase("log {file}", file=log.file), phrase("its records cannot be read"))
        return None
    name = change.free_file("TLG", log.file)
    time = _header(log, records)
    layout = Layout.of(header_of(time), number=change.facts_of)
    columns = {field.name: _fitting(change, task, name, field, _column(records, field)) for field in layout.fields}
    order = np.argsort(records.value_record, kind="stable")
    values = (records.value_record[order], records.value_index[order], records.value[order])
    content = encode(TimeLog.build(layout, columns, *values))
    change.document.xml_files.append(XmlFile(f"{name}.XML", "header", time))
    change.document.others[f"{name}.BIN"] = Blob.of(f"{name}.BIN", content)
    return Element("TLG", {letter("TLG", "Filename"): name, letter("TLG", "TimeLogType"): "1"})


def _header(log: Log, records: LogRecords) -> Element:
    """Return the header: an empty attribute for all that each record stores."""
    time = Element("TIM", {letter("TIM", "Start"): "", letter("TIM", "Type"): EFFECTIVE})
    stored = ["PositionNorth", "PositionEast", *(["PositionUp"] if records.up_m is not None else []), "PositionStatus"]
    stored += [
        name for name in ("PDOP", "HDOP", "NumberOfSatellites", "GpsUtcTime", "GpsUtcDate") if name in records.extras
    ]
    time.append(Element("PTN", {letter("PTN", name): "" for name in stored}))
    for quantity in log.quantities:
        value = {
            "ProcessDataDDI": f"{quantity.ddi:04X}",
            "ProcessDataValue": "",
            "DeviceElementIdRef": quantity.part or "",
        }
        time.append(Element("DLV", {letter("DLV", name): text for name, text in value.items()}))
    return time


def _column(records: LogRecords, field: BinaryField) -> NDArray[np.int64]:
    """Return the raw integers of a stored field."""
    count = len(records.time)
    missing = int(field.missing if field.missing is not None else 0)
    if field.name in records.extras:
        return records.extras[field.name].astype(np.int64)
    if field.name == "PositionStatus":
        return np.full(count, missing) if records.status is None else records.status.astype(np.int64)
    if field.name in {"TimeStartDate", "TimeStartTimeOfDay"}:
        known = ~np.isnat(records.time)
        since = np.where(known, records.time.astype("datetime64[ms]"), DAY_ZERO) - DAY_ZERO
        part = since // _DAY if field.name == "TimeStartDate" else (since % _DAY).astype(np.int64)
        return np.where(known, part.astype(np.int64), missing)
    up = records.lat if records.up_m is None else records.up_m
    values = {"PositionNorth": records.lat, "PositionEast": records.lon, "PositionUp": up}[field.name]
    known = np.isfinite(values)
    scale = 1e3 if field.name == "PositionUp" else 1.0 / STEP_DEG
    scaled = np.clip(np.where(known, values, 0.0) * scale, -_FAR, _FAR)
    return np.where(known, np.rint(scaled), missing).astype(np.int64)


def _fitting(
    change: DocumentChange, task: str | None, name: str, field: BinaryField, raw: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Return raw integers; what does not fit into the field is told and marked as not available."""
    bounds, missing = np.iinfo(field.dtype), int(field.missing if field.missing is not None else 0)
    fits = (raw >= bounds.min) & (raw <= bounds.max)
    if not fits.all():
        what = phrase(
            "{count} of {name} in log {name_2}",
            count=counted(int((~fits).sum()), "value"),
            name=field.name,
            name_2=name,
        )
        change.lose(LossKind.DROPPED, task, what, phrase("a binary log cannot store numbers of that size"))
    return np.where(fits, raw, missing)


def tell_rounding(change: DocumentChange, task: str | None, logs: Sequence[Log]) -> None:
    """Enter into the ledger that positions of the logs of a task are rounded, in one line."""
    rounded = [log.file for log in logs if log.records is not None and _is_rounded(log.records)]
    if rounded:
        named = f"log {rounded[0]}" if len(rounded) == 1 else f"{len(rounded)} logs, {rounded[0]} to {rounded[-1]},"
        what = phrase("positions of {named} are rounded to 1e-7 degree", named=named)
        change.lose(
            LossKind.APPROXIMATED, task, what, phrase("a binary log stores no smaller step (1.1 cm on the ground)")
        )


def _is_rounded(records: LogRecords) -> bool:
    places = np.column_stack([records.lon, records.lat])
    places = places[np.isfinite(places).all(axis=1)]
    return bool(len(places) and np.abs(np.rint(places / STEP_DEG) * STEP_DEG - places).max() > 1e-12)

"""Rows that were read against records that were written: which stayed, which changed, which came and went."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import field, replace
from typing import Any, Generic, TypeVar

import pyarrow as pa
import shapely

from taskdata.dataclass import dataclass
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY, KEY, Layer, LayerSpec, Row, rows_of
from taskdata.formats.geometries import shapes
from taskdata.formats.geometries.usable import on_one_circle
from taskdata.formats.layers.row_edits import TURNED, Changes, coerced, differences, fits
from taskdata.geometry import soundness
from taskdata.ledger import Loss, LossKind, refusal
from taskdata.phrases import phrase

Record = TypeVar("Record")

_COUNTERS = frozenset({"fid", "ogc_fid", "objectid", "shape_leng", "shape_length", "shape_area"})
_SIZE = "declared_area_m2"
_HEIGHT = "up_m"
_REPROJECTED = 2e-8
"""Degrees, about 2 mm: what a way through another coordinate reference system may change."""


@dataclass
class LayerDiff(Generic[Record]):
    """What became of the records of a layer.

    Parameters
    ----------
    kept : dict of int to record
        By key: the identical record where nothing changed, else a new one. A record that is missing was removed.
    changes : dict of int to Changes
        Of the changed ones.
    added : list of (Row, record)
        New records with their rows, whose geometry is a shapely geometry.
    """

    kept: dict[int, Record] = field(default_factory=dict)
    changes: dict[int, Changes] = field(default_factory=dict)
    added: list[tuple[Row, Record]] = field(default_factory=list)


@dataclass
class Ledger:
    """The losses found so far."""

    losses: list[Loss] = field(default_factory=list)

    def refuse(self, row: tuple[str, int], element: str | None, typed: tuple[str, object, str]) -> None:
        """Note a value that its column cannot hold: layer and number of the row, and column, value, what it takes."""
        layer, number = row
        self.losses.append(refusal(element, f"row {number} of {layer}", *typed, row=(layer, number - 1)))

    def drop(self, element: str | None, what: str, why: str) -> None:
        """Note something that is not taken over."""
        self.losses.append(Loss(LossKind.DROPPED, element, what, why))

    def approximate(self, element: str | None, what: str, why: str) -> None:
        """Note something that is taken over as nearly as task data can hold it."""
        self.losses.append(Loss(LossKind.APPROXIMATED, element, what, why))

    def change(self, element: str | None, what: str, why: str) -> None:
        """Note something that is taken over otherwise than it stands."""
        self.losses.append(Loss(LossKind.CHANGED, element, what, why))


def diff_layer(
    layer: Layer,
    raw: RawTable | None,
    records: Iterable[Record],
    ledger: Ledger,
    *,
    made: Callable[[Row], Record],
    edited: Callable[[Record, Changes], Record],
    reprojected: bool,
) -> LayerDiff[Record]:
    """Compare a layer as it was written with the table as it was read.

    Of several rows with one key the first is the record, the others are new ones, as when a polygon was split. Records
    without a key were never written from anywhere; they stay.

    Parameters
    ----------
    layer : Layer
        The base, projected now; ``records`` are those it was made from, in the order of its rows.
    raw : RawTable or None
        What was read; None where the layer is missing, which removes nothing.
    """
    by_key = {record.key: record for record in records if record.key is not None}  # type: ignore[attr-defined]
    result: LayerDiff[Record] = LayerDiff()
    if raw is None:
        result.kept = by_key
        if layer.table.num_rows:
            ledger.drop(
                None,
                phrase("the removal of the layer {name}", name=layer.name),
                phrase("a missing layer means no change; remove its rows"),
            )
        return result
    name_extra_columns(layer.spec, raw.table, ledger)
    old = {row[KEY]: row for row in layer.rows() if row[KEY] is not None}
    tolerance = _REPROJECTED if reprojected else 0.0
    for index, row in enumerate(rows_of(raw.table)):
        number = raw.number(index)
        key = whole_key(row)
        if key is not None and key in old and key in by_key and key not in result.kept:
            changes = differences(layer.spec, old[key], row, tolerance)
            record = _placed(edited(by_key[key], changes), layer.name, number) if changes else by_key[key]
            result.kept[key] = record
            if changes:
                result.changes[key] = changes
            _note(layer.spec, old[key], changes, ledger, number)
        else:
            new = new_row(layer.spec, row, number, ledger)
            if new is not None:
                _forget_size(new, old.get(key, {}))
                result.added.append((new, _placed(made(new), layer.name, number)))
    return result


def _forget_size(new: Row, whole: Row) -> None:
    """Take out of a new row the stated size that a GIS copied from the row it was split from."""
    if new.get(_SIZE) is not None and new[_SIZE] == whole.get(_SIZE):
        new[_SIZE] = None


def new_row(spec: LayerSpec, row: Row, number: int, ledger: Ledger) -> Row | None:
    """Return an added row in the types of its columns, geometry as shapely; None where it cannot be one."""
    new: Row = {}
    for column in spec.columns:
        try:
            new[column.name] = coerced(column, row.get(column.name))
        except ValueError as error:
            if not column.derived:
                ledger.refuse((spec.name, number), None, (column.name, row.get(column.name), str(error)))
            new[column.name] = None
    geometry = _usable(new, row.get(GEOMETRY), f"the new row {number} of {spec.name}", ledger)
    if geometry is not None and not fits(spec, geometry):
        ledger.drop(
            None,
            phrase("the new row {number} of {name}", number=number, name=spec.name),
            phrase("its geometry is a {geom_type}", geom_type=geometry.geom_type),
        )
        return None
    if geometry is None and not spec.may_be_empty:
        ledger.drop(
            None, phrase("the new row {number} of {name}", number=number, name=spec.name), phrase("it has no geometry")
        )
        return None
    return new | {GEOMETRY: geometry}


def _usable(new: Row, record: bytes | None, what: str, ledger: Ledger) -> shapes.Geometry:
    """Return what has a shape of the geometry of a row; its height goes into the column for heights where one is."""
    geometry = shapes.from_wkb(record)
    if geometry is None:
        return None
    height = float(shapely.get_z(shapely.from_wkb(record)))
    if _HEIGHT in new and new[_HEIGHT] is None and math.isfinite(height):
        new[_HEIGHT] = height
    found = soundness.sound(geometry)
    for part in found.left_out:
        ledger.drop(
            None,
            phrase("a part of {what}", what=what)
            if found.geometry is not None
            else phrase("the geometry of {what}", what=what),
            part.why,
        )
    if found.geometry is None:
        return None
    turned = on_one_circle(found.geometry)
    if turned is not found.geometry:
        ledger.losses.append(Loss(LossKind.CHANGED, None, phrase("longitudes of {what}", what=what), TURNED))
    return turned


def _placed(record: Record, layer: str, number: int) -> Record:
    """Return a record that knows the row it was typed into; of a kept one the element stays named."""
    place = replace(record.place, file=layer, record=number - 1, line=None, path=None)  # type: ignore[attr-defined]
    return replace(record, place=place)  # type: ignore[type-var]


def name_extra_columns(spec: LayerSpec, table: pa.Table, ledger: Ledger) -> None:
    """Note the columns that somebody added to a layer."""
    for name in table.column_names:
        known = name == GEOMETRY or name in spec.by_name or name.lower() in _COUNTERS
        if not known and not any(re.match(pattern, name) for pattern, _ in spec.patterns):
            ledger.drop(
                None,
                phrase("column {name} of {name_2}", name=name, name_2=spec.name),
                phrase("task data has no attribute for it"),
            )


def whole_key(row: Mapping[str, Any]) -> int | None:
    """Return the key of a row, None where it has none that is a whole number."""
    try:
        value = row.get(KEY)
        return None if value is None or int(value) != float(value) else int(value)
    except (ValueError, TypeError, OverflowError):
        return None


def _note(spec: LayerSpec, old: Row, changes: Changes, ledger: Ledger, number: int) -> None:
    element = old.get("id") or old.get("task")
    for typed in changes.refused:
        ledger.refuse((spec.name, number), element, typed)
    for column, why in changes.left:
        ledger.drop(element, phrase("a change of {column} in {name}", column=column, name=spec.name), why)
    if changes.turned:
        ledger.losses.append(
            Loss(LossKind.CHANGED, element, phrase("longitudes of a row of {name}", name=spec.name), TURNED)
        )
    for column in changes.derived:
        ledger.drop(
            element, phrase("a change of {column} in {name}", column=column, name=spec.name), phrase("it is computed")
        )

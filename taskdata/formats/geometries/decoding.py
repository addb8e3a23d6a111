"""The geometry of a table as shapes: what GEOS refuses whole is taken apart, kept as far as it goes, and told."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray

from taskdata.errors import UnfitError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries.ragged import Singly
from taskdata.formats.geometries.wkb_nested import nested
from taskdata.raised_rules.import_.bad_geometry import RULE as BAD_GEOMETRY
from taskdata.raised_rules.import_.measures_left_out import RULE as MEASURES_LEFT_OUT


@np.errstate(invalid="ignore")  # of coordinates that are no numbers, which are told by their rows
def decoded(raw: RawTable) -> tuple[RawTable, Any, list[Finding]]:
    """Return a table whose every geometry can be read, its shapes, and what was wrong with them."""
    records = _records(raw.table[GEOMETRY])
    shapes = _straight(records)
    findings: list[Finding] = []
    refused = [row for row in np.flatnonzero(shapely.is_missing(shapes)).tolist() if records[row] is not None]
    measured = bool(shapely.has_m(shapes).any())
    singly = Singly(raw.file, raw.label, findings)
    for row in refused:
        number = raw.number(row)
        try:
            found = nested(records[row])
        except UnfitError as error:
            place = Place(file=raw.file, record=number - 1)
            findings.append(BAD_GEOMETRY.at(place, row=number, layer=raw.label, reason=str(error)))
            continue
        measured = measured or found.measured
        shapes[row] = singly.built(found.geometry, number)
    if measured:
        findings.append(MEASURES_LEFT_OUT.at(Place(file=raw.file), layer=raw.label))
        shapes = _without_measures(shapes)
    return (with_shapes(raw, shapes) if refused or measured else raw), shapes, findings


def shapes_in(column: pa.Array | pa.ChunkedArray) -> NDArray[Any]:
    """Return a column of well-known binary as shapes, None for what GEOS does not take."""
    return np.asarray(_straight(_records(column)), dtype=object)


def _records(column: pa.Array | pa.ChunkedArray) -> NDArray[Any]:
    records = np.empty(len(column), dtype=object)
    records[:] = column.to_pylist()
    return records


def with_shapes(raw: RawTable, shapes: Any) -> RawTable:
    """Return a table with other shapes."""
    index = raw.table.column_names.index(GEOMETRY)
    return replace(
        raw, table=raw.table.set_column(index, GEOMETRY, pa.array(shapely.to_wkb(shapes), pa.large_binary()))
    )


def _straight(records: Any) -> Any:
    """Return the shapes of records, None for what GEOS does not take."""
    with np.errstate(invalid="ignore"):
        try:
            return shapely.from_wkb(records, on_invalid="ignore")
        except NotImplementedError:  # a curve refuses the whole array
            found = np.empty(len(records), dtype=object)
            found[:] = [_one(record) for record in records]
            return found


def _one(record: bytes | None) -> Any:
    try:
        return shapely.from_wkb(record, on_invalid="ignore")
    except NotImplementedError:
        return None


def _without_measures(shapes: Any) -> Any:
    flat = shapely.has_m(shapes) & ~shapely.has_z(shapes)
    shapes = shapes.copy()
    shapes[flat] = shapely.force_2d(shapes[flat])
    both = shapely.has_m(shapes)
    shapes[both] = shapely.from_wkb(shapely.to_wkb(shapes[both], output_dimension=3))
    return shapes

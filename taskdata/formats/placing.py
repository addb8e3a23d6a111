"""Layers to WGS 84: what their coordinates are in, how they get there, and how exact that is."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
import pyarrow as pa
import shapely

from taskdata.errors import UsageError
from taskdata.findings import Finding, Place
from taskdata.formats import part_rules, rules
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.source import Datum
from taskdata.geometry.transform import Conversion, is_projected, to_wgs84

_TARGET = "EPSG:4326"
_MAX_LON, _MAX_LAT = 360.0, 90.0


def placed(raw: RawTable, crs: str | None, where: str) -> tuple[RawTable, Datum | None, list[Finding]]:
    """Return a table in WGS 84.

    Parameters
    ----------
    crs : str or None
        What the user says the coordinates are in; used where the table does not say so itself.
    where : str
        Path of the source, for errors.

    Raises
    ------
    UsageError
        The table does not say what its coordinates are in, and they are no degrees; or ``crs`` is unknown.
    SourceError
        What the table says is unknown.
    """
    if GEOMETRY not in raw.table.column_names:
        return raw, None, []
    raw, shapes, findings = _straight(raw)
    stated, why = _system(raw, crs, shapes)
    if why is not None:
        findings.append(part_rules.CRS_NOT_APPLIED.at(Place(file=raw.file), crs=crs, layer=raw.label, reason=why))
    if stated is None:
        if not _degrees(shapes):
            raise UsageError(
                f"It is not known what the coordinates of {raw.label} are in",
                where=where,
                why="they are no degrees, and no system is stated",
                remedy="Name it, for example --crs EPSG:25832",
            )
        if not raw.always_wgs84:
            findings.append(rules.CRS_ASSUMED.at(Place(file=raw.file), layer=raw.label))
        return raw, None, findings
    sample = shapely.get_coordinates(shapes[:1000])
    sample = sample[np.isfinite(sample).all(axis=1)]
    conversion = to_wgs84(stated, sample=sample if len(sample) else None, where=where if raw.crs else None)
    if conversion.operation == "identity":
        return raw, None, findings
    datum = _datum(conversion)
    if datum.better_missing:
        findings.append(_grid_missing(raw, datum))
    return replace(raw, table=_transformed(raw.table, shapes, conversion), crs=_TARGET), datum, findings


class _System(NamedTuple):
    """What coordinates are in, None = not known; and why what the user gave is not it."""

    stated: str | None
    unused: str | None = None


def _system(raw: RawTable, crs: str | None, shapes: Any) -> _System:
    """Return what a table states, else what the user gave where that can be."""
    if raw.crs is not None:
        same = crs is None or to_wgs84(crs).source_name == to_wgs84(raw.crs, where=raw.file).source_name
        return _System(raw.crs, None if same else "it names its own")
    if crs is not None and len(shapes) and is_projected(crs) and _degrees(shapes):
        return _System(None, "its coordinates are degrees, not a length")
    return _System(crs)


def worst(first: Datum | None, second: Datum | None) -> Datum | None:
    """Return the less accurate of two changes of datum; an unknown accuracy is the worst."""
    if first is None or second is None:
        return first or second
    return max(first, second, key=lambda datum: np.inf if datum.accuracy_m is None else datum.accuracy_m)


def _straight(raw: RawTable) -> tuple[RawTable, Any, list[Finding]]:
    """Return a table, its shapes, and a finding for each row whose geometry was taken out since it has curves."""
    records = np.empty(raw.table.num_rows, dtype=object)
    records[:] = raw.table[GEOMETRY].to_pylist()
    try:
        return raw, shapely.from_wkb(records, on_invalid="ignore"), []
    except NotImplementedError:
        curved = [row for row, record in enumerate(records) if _is_curved(record)]
    records[curved] = None
    index = raw.table.column_names.index(GEOMETRY)
    table = raw.table.set_column(index, GEOMETRY, pa.array(records, pa.large_binary()))
    why = "it has curves; have it written with straight lines between points"
    findings = [
        rules.BAD_GEOMETRY.at(Place(file=raw.file, record=row), row=row + 1, layer=raw.label, reason=why)
        for row in curved
    ]
    return replace(raw, table=table), shapely.from_wkb(records, on_invalid="ignore"), findings


def _is_curved(record: bytes | None) -> bool:
    try:
        shapely.from_wkb(record, on_invalid="ignore")
    except NotImplementedError:
        return True
    return False


def _degrees(shapes: Any) -> bool:
    if not len(shapes):
        return True
    bounds = np.abs(shapely.total_bounds(shapes))
    return not bool((bounds[[0, 2]] > _MAX_LON).any() or (bounds[[1, 3]] > _MAX_LAT).any())


def _datum(conversion: Conversion) -> Datum:
    return Datum(
        source=conversion.source_name,
        target=_TARGET,
        operation=conversion.operation,
        accuracy_m=conversion.accuracy_m,
        better_missing=conversion.better_missing,
    )


def _grid_missing(raw: RawTable, datum: Datum) -> Finding:
    accuracy = "unknown" if datum.accuracy_m is None else f"{datum.accuracy_m:g} m"
    return rules.GRID_MISSING.at(
        Place(file=raw.file),
        layer=raw.label,
        operation=datum.operation,
        accuracy=accuracy,
        grids=", ".join(datum.better_missing),
    )


def _transformed(table: pa.Table, shapes: Any, conversion: Conversion) -> pa.Table:
    flat = shapely.force_2d(shapes)
    moved = shapely.to_wkb(shapely.transform(flat, conversion.forward))
    index = table.column_names.index(GEOMETRY)
    return table.set_column(index, GEOMETRY, pa.array(moved, pa.large_binary()))

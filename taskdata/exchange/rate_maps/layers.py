"""A layer of polygons or points with columns of rates, read as every layer is, brought to WGS 84."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UsageError
from taskdata.exchange.found.locating import locate
from taskdata.exchange.rate_maps.columns import numbers_of
from taskdata.exchange.taking import take
from taskdata.file_formats.regular import absence
from taskdata.findings import Finding
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.geometries import shapes
from taskdata.formats.geometries.crossings import crossings
from taskdata.formats.geometries.usable import Usable
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import read as read_layers
from taskdata.geometry.arrays import Floats
from taskdata.isoxml.files.opening import is_file_set
from taskdata.model.lookup import nearest
from taskdata.paths import named_path
from taskdata.results.reading import Datum


@dataclass(frozen=True, eq=False)
class RateFeatures:
    """Features with rates.

    Parameters
    ----------
    label : str
        What the layer is called.
    shapes : ndarray of geometry (n,)
        Polygons and multi-polygons, or points; degrees WGS 84.
    rates : float64 (n, q)
        Rates, NaN where a row has none.
    rows : int (n,)
        Row of the layer of each, counted from 1.
    left_columns : tuple of str
        Columns that hold no rates.
    findings : tuple of Finding
        What reading found wrong.
    datum : tuple of Datum
        How coordinates were brought to WGS 84.
    """

    label: str
    shapes: NDArray[Any]
    rates: Floats
    rows: NDArray[np.intp]
    left_columns: tuple[str, ...]
    findings: tuple[Finding, ...]
    datum: tuple[Datum, ...]

    @property
    def are_points(self) -> bool:
        """Whether the features are points."""
        return bool((shapely.get_type_id(self.shapes) == shapely.GeometryType.POINT).all())


def read_features(path: str | os.PathLike[str], columns: Sequence[str | None], options: TakeOptions) -> RateFeatures:
    """Read the features of a layer with their rates.

    Parameters
    ----------
    path : path
        A layer in any format that is read, as a file, a folder or a zip archive.
    columns : sequence of str or None
        The columns of the rates; None for outlines, which need none.
    options : TakeOptions
        What a person says about it.

    Raises
    ------
    SourceError
        Nothing readable is there.
    UsageError
        There are several layers to choose from, none of the columns, or a rate that is not a number.
    """
    source = layers_at(named_path(path), options)
    raw = _chosen(source, columns)
    found = Usable(raw, {finding.place.record for finding in source.findings})
    kinds = {_kind(geometry) for _, geometry in found.rows}
    if not found.rows or kinds == {"lines"}:
        raise UsageError("holds no polygons and no points", where=raw.label, remedy="Give a layer with rates on them")
    if len(kinds) > 1:
        told = "holds " + " and ".join(sorted(kinds))
        raise UsageError(told, where=raw.label, remedy="Give a layer of one kind, polygons or points")
    rows = np.array([row for row, _ in found.rows], dtype=np.intp)
    geometry = np.empty(len(rows), dtype=object)
    geometry[:] = [shapely.force_2d(item) for _, item in found.rows]
    wanted = [column for column in columns if column is not None]
    rates = [numbers_of(raw, _column(raw, column)) for column in wanted]
    findings = (*source.findings, *found.findings, *crossings(raw, found.sound))
    table = np.stack(rates, axis=1) if rates else np.empty((raw.table.num_rows, 0))
    numbers = np.array([raw.number(row) for row in rows.tolist()], dtype=np.intp)
    taken = {GEOMETRY, *(_column(raw, column) for column in wanted)}
    left = tuple(name for name in raw.table.column_names if name not in taken)
    return RateFeatures(raw.label, geometry, table[rows], numbers, left, findings, source.datum)


def layers_at(place: Path, options: TakeOptions) -> PlacedLayers:
    """Return the layers of a source, brought to WGS 84.

    Raises
    ------
    UsageError, SourceError
        It is task data, or nothing readable is there.
    """
    if locate(place) is None:
        raise SourceError(absence(place), where=place, remedy="Check the path")
    taken = take(place, options)
    if taken.layers is not None:
        return taken.layers
    if is_file_set(place):
        raise UsageError("is task data, not a layer of rates", where=place, remedy="Give polygons, points or a GeoTIFF")
    return read_layers(place, None, options)


def _chosen(source: PlacedLayers, columns: Sequence[str | None]) -> RawTable:
    """Return the one layer that has geometry and all the columns."""
    placed = [raw for raw in source.tables.values() if GEOMETRY in raw.table.column_names]
    if not any(raw.table.num_rows for raw in placed):
        raise UsageError("holds no polygons and no points", where=source.path, remedy="Give a layer with rates on them")
    fits = [raw for raw in placed if all(column is None or _found(raw, column) is not None for column in columns)]
    if len(fits) == 1:
        return fits[0]
    if not fits:
        missing = next(item for item in columns if item is not None and not any(_found(raw, item) for raw in placed))
        known = sorted({name for raw in placed for name in raw.table.column_names if name != GEOMETRY})
        raise UsageError(f"no layer has a column {missing}", where=source.path, remedy=nearest(missing, known))
    names = ", ".join(raw.label for raw in fits)
    raise UsageError(f"holds {len(fits)} layers that fit: {names}", where=source.path, remedy="Give a source with one")


def _found(raw: RawTable, wanted: str) -> str | None:
    names = [name for name in raw.table.column_names if name != GEOMETRY]
    if wanted in names:
        return wanted
    alike = [name for name in names if name.casefold() == wanted.strip().casefold()]
    return alike[0] if len(alike) == 1 else None


def _column(raw: RawTable, wanted: str) -> str:
    found = _found(raw, wanted)
    if found is None:
        raise UsageError(f"has no column {wanted}", where=raw.label, remedy=nearest(wanted, raw.table.column_names))
    return found


def _kind(geometry: Any) -> str:
    if shapes.is_polygonal(geometry):
        return "polygons"
    return "lines" if shapes.is_linear(geometry) else "points"

"""Layers to WGS 84: what their coordinates are in, how they get there, and how exact that is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import shapely

from taskdata.errors import UsageError
from taskdata.findings import Finding, Place, Severity
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries.decoding import decoded, with_shapes
from taskdata.formats.geometries.heights import judged
from taskdata.formats.placing.datums import assumed, datum_of
from taskdata.formats.placing.doubt import Doubt
from taskdata.formats.placing.reasons import offer
from taskdata.geometry.arrays import Points
from taskdata.geometry.system_facts import AreaOfUse
from taskdata.geometry.transform import IDENTITY, Transformation, is_projected, to_wgs84
from taskdata.raised_rules.import_.accuracy_unknown import RULE as ACCURACY_UNKNOWN
from taskdata.raised_rules.import_.bad_geometry import RULE as BAD_GEOMETRY
from taskdata.raised_rules.import_.crs_assumed import RULE as CRS_ASSUMED
from taskdata.raised_rules.import_.crs_not_applied import RULE as CRS_NOT_APPLIED
from taskdata.raised_rules.import_.grid_missing import RULE as GRID_MISSING
from taskdata.raised_rules.import_.outside_area_of_use import RULE as OUTSIDE_AREA
from taskdata.results.reading import Datum

_TARGET = "EPSG:4326"
_MAX_LON, _MAX_LAT = 360.0, 90.0
_SAMPLE = 1000
_STRAY = 0.1
"""Which share of the rows of a layer in degrees may lie beyond all degrees; those rows are told one by one."""
_NEAR_DEGREES = 1.0
"""How far beyond the area of use of a system a layer is often kept on purpose: one system for a farm across a zone's
edge (common practice)."""


def layer_to_wgs84(
    raw: RawTable, crs: str | None, where: str, *, own: bool = False, doubt: Doubt | None = None
) -> tuple[RawTable, Datum | None, list[Finding]]:
    """Return a table in WGS 84.

    Parameters
    ----------
    crs : str or None
        What the user says the coordinates are in; used where the table does not say so itself.
    where : str
        Path of the source, for errors.
    own : bool
        This program wrote the layer. Its GeoJSON is in WGS 84 then, whatever a position in it says.
    doubt : Doubt, optional
        Why it is not known, and the system that it most likely is in, for errors.

    Raises
    ------
    UsageError
        The table does not say what its coordinates are in, and they are no degrees; or ``crs`` is unknown.
    SourceError
        What the table says is unknown.
    """
    if GEOMETRY not in raw.table.column_names:
        return raw, None, []
    raw, shapes, findings = decoded(raw)
    sure = own and raw.always_wgs84
    stated, why = _system(raw, crs, shapes, sure=sure)
    if why is not None:
        findings.append(CRS_NOT_APPLIED.at(Place(file=raw.file), crs=crs, layer=raw.label, reason=why))
    if stated is None:
        if not sure and not _degrees(shapes):
            raise _unknown(raw, where, doubt)
        if raw.always_wgs84:
            return raw, datum_of(to_wgs84(_TARGET)), findings
        findings.append(CRS_ASSUMED.at(Place(file=raw.file), layer=raw.label))
        return raw, assumed(), findings
    named = where if Path(where).name == raw.file else str(Path(where) / raw.file)
    conversion = to_wgs84(stated, sample=_sample(shapes), where=named if raw.crs else None)
    raw, shapes, notes = judged(raw, shapes, conversion)
    findings += notes
    datum = datum_of(conversion)
    if conversion.operation == IDENTITY:
        return raw, datum, findings
    moved, notes = _moved(raw, shapes, conversion)
    findings += notes
    findings += _told(raw, moved, conversion)
    return with_shapes(replace(raw, crs=_TARGET), moved), datum, findings


def _unknown(raw: RawTable, where: str, doubt: Doubt | None) -> UsageError:
    guess = None if doubt is None else doubt.guess
    return UsageError(
        f"The coordinate reference system of {raw.label} is unknown",
        where=where,
        why="the coordinates are not degrees, and no system is stated" if doubt is None else doubt.why,
        remedy="Name it, for example [[crs=EPSG:25832]]" if guess is None else offer(guess),
    )


class _System(NamedTuple):
    """What coordinates are in, None = not known; and why what the user gave is not it."""

    stated: str | None
    unused: str | None = None


def _system(raw: RawTable, crs: str | None, shapes: Any, *, sure: bool) -> _System:
    """Return what a table states, else what the user gave where that can be."""
    if raw.crs is not None:
        same = crs is None or to_wgs84(crs).source_name == to_wgs84(raw.crs, where=raw.file).source_name
        return _System(raw.crs, None if same else "it states its own")
    if crs is not None and sure:
        return _System(None, "this program wrote it, in WGS 84")
    if crs is not None and len(shapes) and is_projected(crs) and _degrees(shapes):
        return _System(None, "its coordinates are degrees, not a length")
    return _System(crs)


def _degrees(shapes: Any) -> bool:
    """Return whether coordinates are degrees; a few rows astray do not make them anything else."""
    coordinates, rows = shapely.get_coordinates(shapes, return_index=True)
    finite = np.isfinite(coordinates).all(axis=1)
    coordinates, rows = np.abs(coordinates[finite]), rows[finite]
    astray = (coordinates[:, 0] > _MAX_LON) | (coordinates[:, 1] > _MAX_LAT)
    return not astray.any() or len(np.unique(rows[astray])) <= _STRAY * len(np.unique(rows))


def _sample(shapes: Any) -> Points | None:
    """Return coordinates from all over a layer, None where it has none."""
    coordinates = shapely.get_coordinates(shapes)
    coordinates = coordinates[np.isfinite(coordinates).all(axis=1)]
    return coordinates[:: max(1, len(coordinates) // _SAMPLE)] if len(coordinates) else None


def _moved(raw: RawTable, shapes: Any, conversion: Transformation) -> tuple[Any, list[Finding]]:
    """Return shapes in WGS 84, heights as they stand, and a finding for each row that has no place there."""
    high = shapely.has_z(shapes)
    moved = shapes.copy()
    moved[~high] = shapely.transform(shapes[~high], conversion.forward)
    moved[high] = shapely.transform(
        shapes[high], lambda xyz: np.column_stack([conversion.forward(xyz[:, :2]), xyz[:, 2]]), include_z=True
    )
    before, rows = shapely.get_coordinates(shapes, return_index=True)
    lost = np.isfinite(before).all(axis=1) & ~np.isfinite(shapely.get_coordinates(moved)).all(axis=1)
    findings = []
    for row in np.unique(rows[lost]).tolist():
        moved[row] = None
        number = raw.number(row)
        why = f"{conversion.source_name} cannot be transformed to WGS 84 at one of its positions"
        place = Place(file=raw.file, record=number - 1)
        findings.append(BAD_GEOMETRY.at(place, row=number, layer=raw.label, reason=why))
    return moved, findings


def _told(raw: RawTable, moved: Any, conversion: Transformation) -> list[Finding]:
    """Return what the user has to know of the way to WGS 84."""
    known = conversion.accuracy_m is not None
    accuracy = f"{conversion.accuracy_m:g} m" if known else "unknown"
    facts: dict[str, Any] = {"layer": raw.label, "operation": conversion.operation, "accuracy": accuracy}
    place = Place(file=raw.file)
    findings: list[Finding] = []
    if conversion.better_missing:
        findings.append(GRID_MISSING.at(place, grids=", ".join(conversion.better_missing), **facts))
    elif not known:
        findings.append(ACCURACY_UNKNOWN.at(place, **facts))
    if conversion.use is not None:
        findings += _outside(raw, moved, conversion.source_name, conversion.use, facts)
    return findings


def _outside(raw: RawTable, moved: Any, system: str, use: AreaOfUse, facts: dict[str, Any]) -> list[Finding]:
    """Return a finding where rows lie outside the area of use of their system; a note where it is at its edge."""
    coordinates, rows = shapely.get_coordinates(moved, return_index=True)
    beyond = use.beyond(coordinates)
    outside = beyond > 0.0
    if not outside.any():
        return []
    count = len(np.unique(rows[outside]))
    first = int(np.flatnonzero(outside)[0])
    number = raw.number(int(rows[first]))
    lon, lat = coordinates[first].tolist()
    place = Place(file=raw.file, record=number - 1, location=(lon, lat))
    severity = Severity.NOTE if float(beyond[outside].max()) <= _NEAR_DEGREES else Severity.WARNING
    counted = f"{count} row{'s' if count > 1 else ''}"
    finding = OUTSIDE_AREA.at(place, severity=severity, rows=counted, row=number, crs=system, area=use.name, **facts)
    return [finding]

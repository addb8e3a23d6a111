"""Layers to WGS 84: what their coordinates are in, how they get there, and how exact that is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.errors import UsageError
from taskdata.findings import Finding, Place, Severity
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries.heights import judged
from taskdata.formats.placing.datums import assumed, datum_of
from taskdata.formats.placing.doubt import Doubt
from taskdata.formats.placing.positions import Moved, Positions, ShapeRows, positions_of, sample_points
from taskdata.formats.placing.reasons import offer
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
    raw, positions, findings = positions_of(raw)
    sure = own and raw.always_wgs84
    stated, why = _system(raw, crs, positions, sure=sure)
    if why is not None:
        findings.append(CRS_NOT_APPLIED.at(Place(file=raw.file), crs=crs, layer=raw.label, reason=why))
    if stated is None:
        if not sure and not _degrees(positions):
            raise _unknown(raw, where, doubt)
        if raw.always_wgs84:
            return raw, datum_of(to_wgs84(_TARGET)), findings
        findings.append(CRS_ASSUMED.at(Place(file=raw.file), layer=raw.label))
        return raw, assumed(), findings
    named = where if Path(where).name == raw.file else str(Path(where) / raw.file)
    conversion = to_wgs84(stated, sample=sample_points(positions), where=named if raw.crs else None)
    if isinstance(positions, ShapeRows):
        raw, shapes, notes = judged(raw, positions.shapes, conversion)
        positions = ShapeRows(shapes)
        findings += notes
    datum = datum_of(conversion)
    if conversion.operation == IDENTITY:
        return raw, datum, findings
    moved = positions.moved(replace(raw, crs=_TARGET), conversion)
    findings += [_lost(raw, row, conversion) for row in moved.lost]
    findings += _told(moved, conversion)
    return moved.table, datum, findings


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


def _system(raw: RawTable, crs: str | None, positions: Positions, *, sure: bool) -> _System:
    """Return what a table states, else what the user gave where that can be."""
    if raw.crs is not None:
        same = crs is None or to_wgs84(crs).source_name == to_wgs84(raw.crs, where=raw.file).source_name
        return _System(raw.crs, None if same else "it states its own")
    if crs is not None and sure:
        return _System(None, "this program wrote it, in WGS 84")
    if crs is not None and raw.table.num_rows and is_projected(crs) and _degrees(positions):
        return _System(None, "its coordinates are degrees, not a length")
    return _System(crs)


def _degrees(positions: Positions) -> bool:
    """Return whether coordinates are degrees; a few rows astray do not make them anything else."""
    astray = total = 0
    for xy, rows in positions.blocks():
        finite = np.isfinite(xy).all(axis=1)
        beyond = finite & ((np.abs(xy[:, 0]) > _MAX_LON) | (np.abs(xy[:, 1]) > _MAX_LAT))
        astray += _distinct(rows[beyond])
        total += _distinct(rows[finite])
    return astray <= _STRAY * total


def _distinct(rows: NDArray[np.int64]) -> int:
    """Return how many different numbers there are among sorted ones."""
    return int(np.count_nonzero(np.diff(rows))) + 1 if len(rows) else 0


def _lost(raw: RawTable, row: int, conversion: Transformation) -> Finding:
    number = raw.number(row)
    why = f"{conversion.source_name} cannot be transformed to WGS 84 at one of its positions"
    return BAD_GEOMETRY.at(Place(file=raw.file, record=number - 1), row=number, layer=raw.label, reason=why)


def _told(moved: Moved, conversion: Transformation) -> list[Finding]:
    """Return what the user has to know of the way to WGS 84."""
    known = conversion.accuracy_m is not None
    accuracy = f"{conversion.accuracy_m:g} m" if known else "unknown"
    facts: dict[str, Any] = {"layer": moved.table.label, "operation": conversion.operation, "accuracy": accuracy}
    place = Place(file=moved.table.file)
    findings: list[Finding] = []
    if conversion.better_missing:
        findings.append(GRID_MISSING.at(place, grids=", ".join(conversion.better_missing), **facts))
    elif not known:
        findings.append(ACCURACY_UNKNOWN.at(place, **facts))
    if conversion.use is not None:
        findings += _outside(moved, conversion.source_name, conversion.use, facts)
    return findings


class _First(NamedTuple):
    """The first row outside the area of use of a system, and where it lies."""

    row: int
    place: tuple[float, float]


def _outside(moved: Moved, system: str, use: AreaOfUse, facts: dict[str, Any]) -> list[Finding]:
    """Return a finding where rows lie outside the area of use of their system; a note where it is at its edge."""
    count, farthest = 0, 0.0
    first: _First | None = None
    for xy, rows in moved.positions.blocks():
        beyond = use.beyond(xy)
        outside = np.flatnonzero(beyond > 0.0)
        if not len(outside):
            continue
        count += _distinct(rows[outside])
        farthest = max(farthest, float(beyond[outside].max()))
        lon, lat = xy[outside[0]].tolist()
        first = first or _First(int(rows[outside[0]]), (lon, lat))
    if first is None:
        return []
    number = moved.table.number(first.row)
    place = Place(file=moved.table.file, record=number - 1, location=first.place)
    severity = Severity.NOTE if farthest <= _NEAR_DEGREES else Severity.WARNING
    counted = f"{count} row{'s' if count > 1 else ''}"
    finding = OUTSIDE_AREA.at(place, severity=severity, rows=counted, row=number, crs=system, area=use.name, **facts)
    return [finding]

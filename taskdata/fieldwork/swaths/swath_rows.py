"""Rows of exported coverage on the ground, and the passes that they are."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.slivers import JoinedGround, joined
from taskdata.geometry.swaths.cells import Indices
from taskdata.geometry.swaths.recover import GAP_M, Recovered, Rows, recover

FAR_DEGREES = 0.5
"""Rows farther from the middle one are no coverage of the same fields, and no one plane holds for them."""

Stamps = NDArray[np.datetime64]


@dataclass(frozen=True, eq=False)
class SwathRows:
    """n rows of coverage; what is None no row says, and NaN, NaT and None in an array this row does not.

    Parameters
    ----------
    geometries : ndarray of shapely geometry
        (n,) polygons, lines or several of them, longitude and latitude in degrees WGS 84.
    time : datetime64[ms] (n,) or None
    order : float64 (n,) or None
        Numbers in the order of driving.
    width_m, heading_deg : float64 (n,) or None
        Working width, and heading clockwise from true north.
    working : bool (n,) or None
        Whether the row tells of work at all.
    end : datetime64[ms] (n,) or None
        When the row was done; ``time`` is when it was begun.
    directed : bool (n,) or None
        Whether the points of a line go as it was driven; None = every line does.
    in_order : bool
        The rows may be in the order of driving, if nothing else tells it.
    """

    geometries: NDArray[Any]
    time: Stamps | None = None
    order: Floats | None = None
    width_m: Floats | None = None
    heading_deg: Floats | None = None
    working: NDArray[np.bool_] | None = None
    end: Stamps | None = None
    directed: NDArray[np.bool_] | None = None
    in_order: bool = True


@dataclass(frozen=True, eq=False)
class GroundRows:
    """Rows on the ground.

    Parameters
    ----------
    plane : LocalPlane or None
        None where no row has a place on Earth.
    shapes : ndarray of shapely geometry
        (m,) single polygons and lines in metres of the plane, of rows that tell of work.
    row : ndarray
        (m,) the row each is of.
    idle, empty, far : int
        Rows that tell of no work; rows without a usable geometry; rows that lie far from the middle one.
    """

    plane: LocalPlane | None
    shapes: NDArray[Any]
    row: Indices
    idle: int
    empty: int
    far: int = 0


def on_the_ground(rows: SwathRows) -> GroundRows:
    """Return rows as single polygons and lines in a plane about them."""
    geometries = np.asarray(rows.geometries, dtype=object)
    working = np.ones(len(geometries), dtype=np.bool_) if rows.working is None else rows.working
    bounds = shapely.bounds(geometries) if len(geometries) else np.empty((0, 4))
    areal = np.isin(shapely.get_type_id(geometries), _TYPES)
    placed = areal & np.isfinite(bounds).all(axis=1) & (np.abs(bounds[:, [1, 3]]) <= 90.0).all(axis=1)
    near = _near(bounds, working & placed)
    used = np.flatnonzero(near)
    plane = LocalPlane.about([shapely.get_coordinates(geometries[used])]) if len(used) else None
    if plane is None:
        none = np.empty(0, dtype=object)
        return GroundRows(None, none, used, int((~working).sum()), int((working & ~placed).sum()))
    shapes, owner = shapely.get_parts(shapely.force_2d(geometries[used]), return_index=True)
    flat = shapely.transform(shapes, plane.forward)
    good = np.isfinite(shapely.bounds(flat)).all(axis=1) & ~shapely.is_empty(flat)
    lost = len(used) - len(np.unique(owner[good]))
    idle, empty, far = (int(rows.sum()) for rows in (~working, working & ~placed, working & placed & ~near))
    return GroundRows(plane, flat[good], used[owner[good]], idle, empty + lost, far)


def _near(bounds: Floats, usable: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which usable rows lie within `FAR_DEGREES` of the middle one: a plane holds for these."""
    if not usable.any():
        return usable
    with np.errstate(invalid="ignore"):
        lon, lat = (bounds[:, 0] + bounds[:, 2]) / 2.0, (bounds[:, 1] + bounds[:, 3]) / 2.0
        middle = float(np.degrees(np.angle(np.exp(1j * np.radians(lon[usable])).mean())))
        east = np.mod(lon - middle + 180.0, 360.0)
        off = np.maximum(np.abs(east - np.median(east[usable])), np.abs(lat - np.median(lat[usable])))
        return np.asarray(usable & (off <= FAR_DEGREES))


_TYPES = [
    shapely.GeometryType.POLYGON,
    shapely.GeometryType.MULTIPOLYGON,
    shapely.GeometryType.LINESTRING,
    shapely.GeometryType.MULTILINESTRING,
]


def recovered(rows: SwathRows, ground: GroundRows) -> Recovered:
    """Return the passes that rows are, in metres of their plane."""
    seconds = None
    if rows.time is not None:
        known = ~np.isnat(rows.time)
        millis = np.where(known, rows.time, np.datetime64(0, "ms")).astype("datetime64[ms]").astype(np.float64)
        seconds = np.where(known, millis / 1000.0, np.nan)
    said = Rows(seconds, rows.order, rows.width_m, rows.heading_deg, rows.directed, rows.in_order)
    return recover(ground.shapes, ground.row, said)


def joined_ground(ground: GroundRows) -> JoinedGround | None:
    """Return the ground of all polygons as clean ones, gaps up to `GAP_M` closed; None where there is none."""
    polygons = ground.shapes[shapely.get_type_id(ground.shapes) == shapely.GeometryType.POLYGON]
    return joined(polygons, GAP_M) if len(polygons) else None

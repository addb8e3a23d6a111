"""Areas, lines and points as they lie on the ground."""

from __future__ import annotations

from dataclasses import field
from enum import IntEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.records import short_repr

Coordinates: TypeAlias = NDArray[np.float64]


class AreaKind(IntEnum):
    """What a polygon is; the numbers are the standard's polygon types (ISO 11783-10 D.39)."""

    BOUNDARY = 1
    TREATMENT_ZONE = 2
    WATER = 3
    BUILDING = 4
    ROAD = 5
    OBSTACLE = 6
    FLAG = 7
    OTHER = 8
    MAIN_FIELD = 9
    HEADLAND = 10
    BUFFER_ZONE = 11
    WINDBREAK = 12


class LineKind(IntEnum):
    """What a line is; the numbers are the standard's line string types (ISO 11783-10 D.33)."""

    TRAM_LINE = 3
    SAMPLING_ROUTE = 4
    GUIDANCE = 5
    DRAINAGE = 6
    FENCE = 7
    FLAG = 8
    OBSTACLE = 9


class PointKind(IntEnum):
    """What a point is; the numbers are the standard's point types (ISO 11783-10 D.38)."""

    FLAG = 1
    OTHER = 2
    FIELD_ACCESS = 3
    STORAGE = 4
    OBSTACLE = 5
    GUIDANCE_A = 6
    GUIDANCE_B = 7
    GUIDANCE_CENTRE = 8
    GUIDANCE_POINT = 9
    FIELD_REFERENCE = 10
    HOME_BASE = 11


@short_repr
@dataclass(frozen=True, slots=True, eq=False)
class Area:
    """A polygon: rings as stored (open or closed), outer ones and inner ones (PLN, ISO 11783-10 D.39).

    Parameters
    ----------
    kind : AreaKind
        What it is.
    exteriors, interiors : tuple of float64 (n, 2)
        Outer rings and holes, longitude and latitude in degrees. Before version 4 one polygon may have several outer
        rings; later at most one.
    name, id : str or None
        Designator, and identifier such as ``PLN3``.
    declared_area_m2 : int or None
        Area as stated, m².
    colour : int or None
        Number in the palette of the standard.
    """

    kind: AreaKind
    exteriors: tuple[Coordinates, ...]
    interiors: tuple[Coordinates, ...] = ()
    name: str | None = None
    id: str | None = None
    declared_area_m2: int | None = None
    colour: int | None = None
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class Line:
    """A line on or beside a field (LSG, D.33): tram line, drain, fence, or a guidance line before version 4.

    Parameters
    ----------
    kind : LineKind
        What it is.
    points : float64 (n, 2)
        Longitude and latitude in degrees.
    name, id : str or None
        Designator, and identifier such as ``LSG3``.
    width_m : float or None
        Swath width of a guidance line.
    colour : int or None
        Number in the palette of the standard.
    """

    kind: LineKind
    points: Coordinates
    name: str | None = None
    id: str | None = None
    width_m: float | None = None
    colour: int | None = None
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class Point:
    """A single place with a meaning (PNT, D.38).

    Parameters
    ----------
    kind : PointKind
        What it is.
    lon, lat : float
        Degrees.
    name, id : str or None
        Designator, and identifier such as ``PNT3``.
    up_m : float or None
        Height above the WGS 84 ellipsoid.
    colour : int or None
        Number in the palette of the standard.
    """

    kind: PointKind
    lon: float
    lat: float
    name: str | None = None
    id: str | None = None
    up_m: float | None = None
    colour: int | None = None
    key: int | None = None
    place: Place = field(default_factory=Place)

"""Courses as points that are given otherwise: a straight by a heading, a circle or arc by its centre."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.geodesy import azimuth, destination, line_length

STRAIGHT_M = 1000.0
"""How far from the first point of a straight the second is laid."""

CIRCLE_TOLERANCE_M = 0.01
"""How far the straight pieces of a circle may lie off it at most."""

_LARGEST_M = 1e6


def straight(start: ArrayLike, heading_deg: float) -> Points:
    """Return a point and another one, ``STRAIGHT_M`` away along the geodesic.

    Parameters
    ----------
    start : array_like
        (2,) longitude and latitude in degrees.
    heading_deg : float
        Clockwise from true north.

    Returns
    -------
    Points
        (2, 2).
    """
    first = as_points(start)
    return np.vstack([first, as_points(destination(first[0], heading_deg, STRAIGHT_M))])


def arc(given: ArrayLike, radius_m: float = math.nan, clockwise: bool | None = None) -> Points | None:
    """Return a circle, or the arc from one point of it to another.

    Parameters
    ----------
    given : array_like
        (n, 2) longitude and latitude in degrees: the centre, and optionally where the arc begins and ends.
    radius_m : float
        Radius in metres; nan = the distance from the centre to the second point.
    clockwise : bool or None
        The way of the arc; None = a full circle.

    Returns
    -------
    Points or None
        (m, 2), at most ``CIRCLE_TOLERANCE_M`` off the circle, a circle closed; None where nothing gives a radius, or
        one of more than 1000 km.
    """
    points = as_points(given)
    if len(points) > 1 and not radius_m > 0:
        radius_m = line_length(points[:2])
    if not len(points) or not 0 < radius_m <= _LARGEST_M:
        return None
    start = azimuth(points[0], points[1]) if len(points) > 1 else 0.0
    start = start if math.isfinite(start) else 0.0
    sweep = 360.0
    if len(points) > 2 and clockwise is not None:
        ahead = (azimuth(points[0], points[2]) - start) % 360.0
        sweep = ahead if clockwise else 360.0 - ahead
    step = 2 * math.degrees(math.acos(max(0.0, 1 - CIRCLE_TOLERANCE_M / radius_m)))
    turns = np.linspace(0.0, sweep, max(8, math.ceil(sweep / step)) + 1)
    turns = start - turns if clockwise is False else start + turns
    laid = np.asarray(destination(np.broadcast_to(points[0], (len(turns), 2)), turns, radius_m))
    if sweep == 360.0:
        laid[-1] = laid[0]
    return laid

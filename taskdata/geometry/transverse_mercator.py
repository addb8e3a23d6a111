"""The transverse Mercator projection of the WGS 84 ellipsoid with scale 1 on its meridian.

Method: L. Krüger, Konforme Abbildung des Erdellipsoids in der Ebene (1912), as C. F. F. Karney, Transverse Mercator
with an accuracy of a few nanometers, J. Geodesy 85 (2011), carries its series on to order 6. PROJ does the same and
agrees to 2e-8 m; loading it takes longer than reading a small data set. Near the meridian the older series in powers of
the longitude agree with these to 1e-8 m, and take a tenth of the time (Snyder, Map Projections: A Working Manual, USGS
Professional Paper 1395, 1987, equations 8-9 to 8-15).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.geodesic_series import E2, EP2, A, F

_E = math.sqrt(E2)
_N = F / (2.0 - F)
"""Third flattening."""
_RADIUS = A / (1.0 + _N) * (1.0 + _N**2 / 4.0 + _N**4 / 64.0 + _N**6 / 256.0)
"""Of the circle as long as a meridian (equation 14)."""
_WIDEST = 2.623395162778
"""How far from the meridian, in radians of the projection, the series hold: PROJ gives no answer beyond."""
_FARTHEST = 10.0
"""Radians of longitude from which a number is none."""
_NEAR = math.radians(0.5)
"""Radians of longitude from the meridian up to which the powers of the longitude are enough."""
_BLOCK = 16_384
"""Points near the meridian that are computed at a time."""
_NEWTON = 4


def _series(rows: tuple[tuple[float, ...], ...]) -> tuple[float, ...]:
    """Return the sum of each row, whose factors are those of ever higher powers of the third flattening."""
    return tuple(sum(factor * _N ** (at + more) for more, factor in enumerate(row)) for at, row in enumerate(rows, 1))


_ALPHA = _series(
    (
        (1 / 2, -2 / 3, 5 / 16, 41 / 180, -127 / 288, 7891 / 37800),
        (13 / 48, -3 / 5, 557 / 1440, 281 / 630, -1983433 / 1935360),
        (61 / 240, -103 / 140, 15061 / 26880, 167603 / 181440),
        (49561 / 161280, -179 / 168, 6601661 / 7257600),
        (34729 / 80640, -3418889 / 1995840),
        (212378941 / 319334400,),
    )
)
"""Equation 35."""
_BETA = _series(
    (
        (1 / 2, -2 / 3, 37 / 96, -1 / 360, -81 / 512, 96199 / 604800),
        (1 / 48, 1 / 15, -437 / 1440, 46 / 105, -1118711 / 3870720),
        (17 / 480, -37 / 840, -209 / 4480, 5569 / 90720),
        (4397 / 161280, -11 / 504, -830251 / 7257600),
        (4583 / 161280, -108847 / 3991680),
        (20648693 / 638668800,),
    )
)
"""Equation 36."""
_ARC = _series(
    (
        (-3 / 2, 0.0, 9 / 16, 0.0, -3 / 32),
        (15 / 16, 0.0, -15 / 32),
        (-35 / 48, 0.0, 105 / 256),
        (315 / 512,),
        (-693 / 1280,),
    )
)
"""From the latitude to the angle along the meridian: factors of the sines of its even multiples (Helmert 1880)."""


def forward(lonlat: Points, lon: float | Floats, lat: float) -> Points:
    """Return metres east and north of an origin.

    Parameters
    ----------
    lonlat : Points
        (n, 2) degrees.
    lon, lat : float
        The origin in degrees; the meridian may be another one for each point, (n,).

    Returns
    -------
    Points
        (n, 2); NaN where there is no answer: beyond a pole, or a quarter of the Earth and more from the meridian.
    """
    with np.errstate(invalid="ignore", over="ignore"):
        turn = np.radians(lonlat[:, 0] - lon)
        near = (np.abs(turn) <= _NEAR) & (np.abs(lonlat[:, 1]) <= 90.0)
    if near.all():
        return _near(turn, lonlat[:, 1], lat)
    metres = np.empty((len(turn), 2))
    metres[near] = _near(turn[near], lonlat[near, 1], lat)
    metres[~near] = _far(turn[~near], lonlat[~near], lat)
    return metres


def _near(turn: Floats, lats: Floats, lat: float) -> Points:
    """Return metres of places near the meridian, which are all on Earth, by how far they are turned from it."""
    metres, origin = np.empty((len(turn), 2)), _RADIUS * _meridian(lat)
    for start in range(0, len(turn), _BLOCK):
        here = slice(start, start + _BLOCK)
        angle = np.radians(lats[here])
        sine, cosine, wide = np.sin(angle), np.cos(angle), turn[here]
        s2, c2, w2 = sine * sine, cosine * cosine, wide * wide
        bent = EP2 * c2  # what is eta squared in the formulas
        normal = A / np.sqrt(1.0 - E2 * s2)
        cubic = (c2 * (1.0 + bent) - s2) / 6.0
        fifth = (c2 * c2 * (5.0 + 14.0 * bent) - s2 * c2 * (18.0 + 58.0 * bent) + s2 * s2) / 120.0
        metres[here, 0] = normal * cosine * wide * (1.0 + w2 * (cubic + w2 * fifth))
        fourth = (c2 * (5.0 + bent * (9.0 + 4.0 * bent)) - s2) / 24.0
        sixth = (c2 * c2 * (61.0 + 270.0 * bent) - s2 * c2 * (58.0 + 330.0 * bent) + s2 * s2) / 720.0
        twice, last, found = 2.0 - 4.0 * s2, np.zeros_like(s2), np.full_like(s2, _ARC[-1])
        for factor in _ARC[-2::-1]:  # Clenshaw's sum
            last, found = found, factor + twice * found - last
        bow = normal * w2 * (0.5 + w2 * (fourth + w2 * sixth))
        metres[here, 1] = _RADIUS * angle - origin + sine * cosine * (bow + 2.0 * _RADIUS * found)
    return metres


def _far(turn: Floats, lonlat: Points, lat: float) -> Points:
    """Return metres of any places, by how far they are turned from the meridian; NaN where there is no answer."""
    with np.errstate(invalid="ignore", over="ignore"):
        turn = np.where(np.abs(turn) <= math.pi, turn, np.remainder(turn + math.pi, math.tau) - math.pi)
        known = (np.abs(lonlat[:, 1]) <= 90.0) & (np.abs(np.radians(lonlat[:, 0])) <= _FARTHEST)
        tan = _conformal(np.radians(lonlat[:, 1]))
        beside = np.cos(turn)
        north, east = np.arctan2(tan, beside), np.arcsinh(np.sin(turn) / np.hypot(tan, beside))
        moved = _waves(_ALPHA, north, east, 1.0)
        known &= np.abs(moved[:, 0]) <= _WIDEST
        metres = _RADIUS * (moved - [0.0, _meridian(lat)])
    metres[~(known & np.isfinite(metres).all(axis=1))] = np.nan
    return np.asarray(metres)


def inverse(metres: Points, lon: float, lat: float) -> Points:
    """Return degrees, longitude in [-180, 180], of (n, 2) metres from an origin; NaN where there is no answer."""
    with np.errstate(invalid="ignore", over="ignore"):
        east, north = metres[:, 0] / _RADIUS, metres[:, 1] / _RADIUS + _meridian(lat)
        known = np.abs(east) <= _WIDEST
        east, north = _waves(_BETA, north, east, -1.0).T
        wide, high = np.sinh(east), np.cos(north)
        conformal = np.sin(north) / np.hypot(wide, high)
        turn = np.degrees(np.arctan2(wide, high)) + lon
        turn = np.where(np.abs(turn) <= 180.0, turn, np.remainder(turn + 180.0, 360.0) - 180.0)
        found = np.column_stack([turn, np.degrees(_latitude(conformal))])
    found[~(known & np.isfinite(found).all(axis=1))] = np.nan
    return found


@lru_cache(maxsize=256)
def _meridian(lat: float) -> float:
    """Return how far north of the equator a latitude in degrees lies on the meridian, in radians of the circle."""
    conformal = np.arctan(_conformal(np.array([math.radians(lat)])))
    return float(_waves(_ALPHA, conformal, np.zeros(1), 1.0)[0, 1])


def _conformal(lat: Floats) -> Floats:
    """Return the tangent of the conformal latitude (equations 7 to 9)."""
    tan = np.tan(lat)
    sigma = np.sinh(_E * np.arctanh(_E * np.sin(lat)))
    return np.asarray(tan * np.sqrt(1.0 + sigma**2) - sigma * np.sqrt(1.0 + tan**2))


def _latitude(conformal: Floats) -> Floats:
    """Return the latitude in radians of the tangent of a conformal one, by Newton's method (equations 19 to 21)."""
    tan = conformal / (1.0 - E2)
    for _ in range(_NEWTON):
        step = (conformal - _conformal(np.arctan(tan))) / np.sqrt(1.0 + conformal**2)
        tan = tan + step * (1.0 + (1.0 - E2) * tan**2) / ((1.0 - E2) * np.sqrt(1.0 + tan**2))
    return np.asarray(np.arctan(tan))


def _waves(factors: tuple[float, ...], north: Floats, east: Floats, sign: float) -> Points:
    """Return (n, 2) east and north after the series (equations 11 and 15), in radians."""
    place = north + 1j * east
    twice, last, found = 2.0 * np.cos(2.0 * place), np.zeros_like(place), np.full_like(place, factors[-1])
    for factor in factors[-2::-1]:  # Clenshaw's sum
        last, found = found, factor + twice * found - last
    place += sign * np.sin(2.0 * place) * found
    return np.column_stack([place.imag, place.real])

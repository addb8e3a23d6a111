"""Geodesics on the WGS 84 ellipsoid by series, many at once, unless they lead half round the Earth.

PROJ solves any geodesic, but loading it takes longer than reading a small data set. Both agree to 2e-8 m and, for a
field, 1e-3 m², so that it does not matter which of them a figure comes from.

Method: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), with its series of order 6 and the longitude
difference on the auxiliary sphere found by iteration.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats

A = 6378137.0
F = 1.0 / 298.257223563
"""Semi-major axis in metres, and flattening (NIMA TR8350.2)."""
B = A * (1.0 - F)
E2 = F * (2.0 - F)
EP2 = E2 / (1.0 - E2)
LONGEST_DEG = (90.0, 120.0)
"""Degrees of longitude and of latitude up to which directions and lengths hold."""
EDGE_DEG = 5.0
HIGHEST_DEG = 89.0
"""Degrees of longitude and of latitude up to which areas hold, and up to which latitude."""

SHORT_DEG, SHORT_HIGHEST_DEG = 0.02, 80.0
"""Degrees of longitude and of latitude up to which the area under a geodesic is a short series, up to which latitude:
it is right to 1e-5 m² there."""
_STEPS, _FEW_STEPS = 6, 4
_SHORT = math.radians(EDGE_DEG)
"""How often the longitude is corrected, and how often up to this difference in radians."""
_BLOCK = 16_384
"""Geodesics that are computed at a time."""
_AUTHALIC = (A * A + B * B * math.atanh(math.sqrt(E2)) / math.sqrt(E2)) / 2.0
"""Square of the radius of the sphere with the area of the ellipsoid."""
_UNDER = [B * B * (1.0 + 1.0 / (2 * at + 1)) / 2.0 * E2**at for at in range(8)]
"""Area between the equator and a parallel, a radian of longitude: factors of odd powers of the sine of its latitude."""
_A1 = np.array([[1 / 256, 0.0, 1 / 64, 0.0, 1 / 4, 0.0, 1.0]])
_C1 = np.array(
    [
        [0.0, -1 / 32, 0.0, 3 / 16, 0.0, -1 / 2, 0.0],
        [-9 / 2048, 0.0, 1 / 32, 0.0, -1 / 16, 0.0, 0.0],
        [0.0, 3 / 256, 0.0, -1 / 48, 0.0, 0.0, 0.0],
        [3 / 512, 0.0, -5 / 512, 0.0, 0.0, 0.0, 0.0],
        [0.0, -7 / 1280, 0.0, 0.0, 0.0, 0.0, 0.0],
        [-7 / 2048, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    ]
)
"""Equations 17 and 18 of that paper: polynomials in ε, its highest power first, of A1 (1 - ε) and of each of C1."""
_A3 = np.array(
    [[-0.0234375, -0.046927475637074494, -0.06281503005876607, -0.2502088451303832, -0.49916038980680816, 1.0]]
)
_C3 = np.array(
    [
        [0.0234375, 0.03908873781853724, 0.04695366939653196, 0.12499964752736174, 0.24958019490340408, 0.0],
        [0.01953125, 0.02345061890926862, 0.046822392185686165, 0.062342661206936094, 0.0, 0.0],
        [0.013671875, 0.023393770302437927, 0.025963026642854565, 0.0, 0.0, 0.0],
        [0.013671875, 0.01362595881755982, 0.0, 0.0, 0.0, 0.0],
        [0.008203125, 0.0, 0.0, 0.0, 0.0, 0.0],
    ]
)
_C4 = np.array(
    [
        [
            0.00646020646020646,
            0.0035037627212872787,
            0.034742279454780166,
            -0.01921732223244865,
            -0.19923321555984239,
            0.6662190894642603,
        ],
        [
            0.000111000111000111,
            0.003426620602971002,
            -0.009510765372597735,
            -0.01893413691235592,
            0.0221370239510936,
            0.0,
        ],
        [0.0007459207459207459, -0.004142006291321442, -0.00504225176309005, 0.007584982177746079, 0.0, 0.0],
        [-0.0021565735851450138, -0.001962613370670692, 0.0036104265913438913, 0.0, 0.0, 0.0],
        [-0.0009472009472009472, 0.0020416649913317735, 0.0, 0.0, 0.0, 0.0],
        [0.0012916376552740189, 0.0, 0.0, 0.0, 0.0, 0.0],
    ]
)
"""Equations 24, 25 and 63 for the third flattening of WGS 84, as much of A3, I3 and I4."""


class Geodesics(NamedTuple):
    """Geodesics between points, (n,) each.

    Parameters
    ----------
    azimuths : Floats
        Degrees clockwise from true north at the first point, from -180 to 180.
    lengths : Floats
        Metres.
    areas : Floats
        Square metres between the geodesic, the equator and the meridians of its ends; positive where it runs east in
        the north.
    """

    azimuths: Floats
    lengths: Floats
    areas: Floats


def turn(first: Floats, last: Floats) -> Floats:
    """Return the degrees of longitude from one to another, from -180 to 180."""
    with np.errstate(invalid="ignore"):
        step = last - first
        return np.asarray((last - np.where(step > 180.0, 360.0, np.where(step < -180.0, -360.0, 0.0))) - first)


def are_near(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> NDArray[np.bool_]:
    """Tell between which points (n,), in degrees, `geodesics` gives directions and lengths."""
    near = (np.abs(turn(lon, last_lon)) <= LONGEST_DEG[0]) & (np.abs(turn(lat, last_lat)) <= LONGEST_DEG[1])
    return np.asarray(near & (np.abs(lat) <= 90.0) & (np.abs(last_lat) <= 90.0))


def are_edges(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> NDArray[np.bool_]:
    """Tell between which points (n,), in degrees, `geodesics` gives areas too."""
    near = (np.abs(turn(lon, last_lon)) <= EDGE_DEG) & (np.abs(turn(lat, last_lat)) <= EDGE_DEG)
    return np.asarray(near & (np.abs(lat) <= HIGHEST_DEG) & (np.abs(last_lat) <= HIGHEST_DEG))


def geodesics(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> Geodesics:
    """Return the geodesics between points, (n,) degrees each; see `are_near` and `are_edges`."""
    found = np.empty((3, len(lon)))
    for here, solved in _in_blocks(lon, lat, last_lon, last_lat):
        found[0, here] = np.degrees(np.arctan2(solved.sin_a1, solved.cos_a1))
        found[1, here], found[2, here] = _lengths(solved), _areas(solved)
    return Geodesics(*found)


def lengths(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> Floats:
    """Return the lengths of `geodesics` alone."""
    solved = (_lengths(found) for _, found in _in_blocks(lon, lat, last_lon, last_lat))
    return np.concatenate([np.empty(0), *solved])


def edge_areas(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> Floats:
    """Return the areas of `geodesics` alone."""
    found = _short_areas(lon, lat, last_lon, last_lat)
    long = ~_are_short(lon, lat, last_lon, last_lat)
    if long.any():
        ends = [end[long] for end in (lon, lat, last_lon, last_lat)]
        found[long] = np.concatenate([_areas(solved) for _, solved in _in_blocks(*ends)])
    return found


def _are_short(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> NDArray[np.bool_]:
    near = (np.abs(turn(lon, last_lon)) <= SHORT_DEG) & (np.abs(last_lat - lat) <= SHORT_DEG)
    return np.asarray(near & (np.abs(lat) <= SHORT_HIGHEST_DEG) & (np.abs(last_lat) <= SHORT_HIGHEST_DEG))


def _short_areas(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> Floats:
    """Return the areas under geodesics that are short.

    With h and d, radians of longitude and of latitude, and Q, the area under the parallel in the middle between both
    latitudes, a radian of longitude, the area is h (Q + (d² (M² sin + M' N cos) + h² N² cos² sin 2/3) / 8), where M and
    N are the radii of curvature: what a geodesic, by its equation of second order, has beyond its chord in degrees,
    and that beyond the parallel. Terms of even order cancel, since the way back has the same area.
    """
    found = np.empty(len(lon))
    for start in range(0, len(lon), _BLOCK):
        here = slice(start, start + _BLOCK)
        wide, high = np.radians(turn(lon[here], last_lon[here])), np.radians(last_lat[here] - lat[here])
        sine = np.sin(np.radians(0.5 * (lat[here] + last_lat[here])))
        square = sine * sine
        bent = 1.0 / (1.0 - E2 * square)
        under = np.full_like(sine, _UNDER[-1])
        for factor in _UNDER[-2::-1]:
            under *= square
            under += factor
        along = A * A * (1.0 - E2) * bent**3 * (1.0 - E2 + 3.0 * E2 * (1.0 - square))
        under += (along * high * high + A * A * bent * (1.0 - square) * wide * wide * (2.0 / 3.0)) / 8.0
        found[here] = under * sine * wide
    return found


def _in_blocks(*ends: Floats) -> Iterator[tuple[slice, _Solved]]:
    """Yield geodesics some at a time, so that what they are computed from stays small."""
    for start in range(0, len(ends[0]), _BLOCK):
        here = slice(start, start + _BLOCK)
        yield here, _solved(*(end[here] for end in ends))


class _Solved(NamedTuple):
    """Geodesics on the auxiliary sphere: sines and cosines of reduced latitudes and azimuths, ε, both ends, the arc."""

    one: tuple[Floats, Floats]
    two: tuple[Floats, Floats]
    omega: Floats
    sin_a1: Floats
    cos_a1: Floats
    sin_a0: Floats
    cos_a0: Floats
    eps: Floats
    both: Floats
    arc: Floats


def _solved(lon: Floats, lat: Floats, last_lon: Floats, last_lat: Floats) -> _Solved:
    """Return the geodesics between points on the auxiliary sphere.

    Each step divides by the slope that its equation has for short geodesics, of which few steps are enough.
    """
    sin1, cos1 = _reduced(lat)
    sin2, cos2 = _reduced(last_lat)
    far = np.radians(turn(lon, last_lon))
    rise = sin2 * cos1 - sin1 * cos2
    slope = 1.0 - F * cos1 * cos2
    omega = far / slope
    short = bool((np.abs(far) <= _SHORT).all() and (np.abs(rise) <= _SHORT).all())
    for _ in range(_FEW_STEPS if short else _STEPS):
        sin_omega, back = np.sin(omega), 2.0 * np.sin(omega / 2.0) ** 2
        east1, north1 = cos2 * sin_omega, rise + sin1 * cos2 * back
        across = np.hypot(east1, north1)
        arc = np.arctan2(across, sin1 * sin2 + cos1 * cos2 * (1.0 - back))
        moved = across > 0.0
        sin_a1 = np.divide(east1, across, out=np.zeros_like(far), where=moved)
        cos_a1 = np.divide(north1, across, out=np.ones_like(far), where=moved)
        sin_a0 = sin_a1 * cos1
        cos_a0 = np.hypot(cos_a1, sin_a1 * sin1)
        both = 2.0 * np.arctan2(sin1, cos_a1 * cos1) + arc  # of both ends
        k2 = EP2 * cos_a0**2
        eps = k2 / (2.0 * (1.0 + np.sqrt(1.0 + k2)) + k2)
        wave = _wave(_C3, eps, _sines(len(_C3), both, arc))
        omega = omega + (far + F * sin_a0 * _poly(_A3, eps)[0] * (arc + wave) - omega) / slope
    return _Solved((sin1, cos1), (sin2, cos2), omega, sin_a1, cos_a1, sin_a0, cos_a0, eps, both, arc)


def _reduced(lat: Floats) -> tuple[Floats, Floats]:
    """Return sine and cosine of reduced latitudes."""
    sine, cosine = (1.0 - F) * np.sin(np.radians(lat)), np.cos(np.radians(lat))
    long = np.hypot(sine, cosine)
    return sine / long, cosine / long


def _lengths(found: _Solved) -> Floats:
    """Equations 7, 17 and 18."""
    scale = _poly(_A1, found.eps)[0] / (1.0 - found.eps)
    wave = _wave(_C1, found.eps, _sines(len(_C1), found.both, found.arc))
    return np.asarray(B * scale * (found.arc + wave))


def _areas(found: _Solved) -> Floats:
    wave = _wave(_C4, found.eps, _half_sines(len(_C4), found.both, found.arc))  # equation 63
    excess = _excess(found.one, found.two, found.omega)
    return np.asarray(_AUTHALIC * excess + A * A * E2 * found.sin_a0 * found.cos_a0 * wave)


def _excess(one: tuple[Floats, Floats], two: tuple[Floats, Floats], omega: Floats) -> Floats:
    """Return by how much the azimuth differs at the ends, radians, of sines and cosines of reduced latitudes."""
    (sin1, cos1), (sin2, cos2) = one, two
    wide, high1, high2 = 1.0 + np.cos(omega), 1.0 + cos1, 1.0 + cos2
    return np.asarray(
        2.0 * np.arctan2(np.sin(omega) * (sin1 * high2 + sin2 * high1), wide * (sin1 * sin2 + high1 * high2))
    )


def _poly(factors: NDArray[np.float64], eps: Floats) -> NDArray[np.float64]:
    """Return polynomials in ε, (m, n), of (m, k) factors, the highest power first."""
    found = np.repeat(factors[:, :1], len(eps), axis=1)
    for at in range(1, factors.shape[1]):
        found *= eps
        found += factors[:, at : at + 1]
    return found


def _wave(factors: NDArray[np.float64], eps: Floats, steps: NDArray[np.float64]) -> Floats:
    """Return the sum of (m, n) steps, each times its polynomial in ε."""
    return np.asarray((_poly(factors, eps) * steps).sum(axis=0))


def _sines(count: int, both: Floats, arc: Floats) -> NDArray[np.float64]:
    """Return by how much the sines of multiples of twice the arc differ at the ends, (m, n)."""
    first = np.array([np.cos(both), np.sin(arc)])
    return _products(count, first, np.array([np.ones_like(both), np.zeros_like(arc)]), both, arc)


def _half_sines(count: int, both: Floats, arc: Floats) -> NDArray[np.float64]:
    """Return by how much the cosines of odd multiples of the arc differ at the ends, (m, n)."""
    first = np.sin(0.5 * np.array([both, arc]))
    return -_products(count, first, -first, both, arc)


def _products(
    count: int, first: NDArray[np.float64], before: NDArray[np.float64], both: Floats, arc: Floats
) -> NDArray[np.float64]:
    """Return twice the products of the multiples of two waves, (m, n), without the loss of digits of a difference.

    The next multiple is 2 cos x times the last less the one before.
    """
    found = np.empty((count, *first.shape))
    found[0], last, twice = first, before, 2.0 * np.cos(np.array([both, arc]))
    for at in range(1, count):
        np.multiply(twice, found[at - 1], out=found[at])
        found[at] -= last
        last = found[at - 1]
    return np.asarray(2.0 * found[:, 0] * found[:, 1])

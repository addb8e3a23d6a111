"""The systems that bring a layer to other data, best first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from pyproj import CRS

from taskdata.errors import TaskdataError
from taskdata.formats.placing.datums import rank
from taskdata.formats.placing.ground import NEAR_M, Ground, gap_m, ground_of, nearest
from taskdata.formats.placing.near_systems import NearSystem, distance_m, systems_near
from taskdata.formats.placing.sampling import Sample
from taskdata.geometry.geodesy import inverse
from taskdata.geometry.transform import SWAPPED, Transformation, is_swapped, to_wgs84, turned

_DATUM_M = 2_000.0
"""What a change of datum may move at most, with a margin (common practice: some hundred metres)."""
SAME_M = 5.0
"""Systems that place a layer so near to each other differ in nothing but the datum, or in the kind of foot."""
_OUTSIDE_M = 5_000.0
"""How near a system has to bring a layer outside the area that it is made for, where chance hits are more likely."""
_BUCKETS_M = (1_000.0, 5_000.0)
_RARE = re.compile(r"Albers|Equal Area|LAEA|with prefix")
"""Projections for statistics and atlases, which no farm data comes in (common practice)."""
_ZONES = ("UTM zone", "MGA zone")
"""Guidance displays write these (common practice)."""
SAME_SYSTEM, SAME_DATUM = -2, -1
_OTHERS = 6


class _Key(NamedTuple):
    """What two systems have in common that are on one datum."""

    code: int | None
    base: str | None


class Candidate(NamedTuple):
    """A system and where it places a layer."""

    system: NearSystem
    text: str
    conversion: Transformation
    ground: Ground
    gap_m: float
    other: Ground
    rank: int


class _Known(NamedTuple):
    """Where the other data lies, and the systems that layers state."""

    others: Sequence[Ground]
    systems: frozenset[_Key]


def candidates(sample: Sample, others: Sequence[Ground]) -> list[Candidate]:
    """Return each system that brings a layer to within ``NEAR_M`` of other data, the best first.

    Axes are swapped where none does otherwise.
    """
    stated = [sample.raw.crs, *(other.system for other in others)]
    known = _Known(others, frozenset(_key(system) for system in stated if system is not None))
    for prefix in ("", SWAPPED):
        found: dict[str, Candidate] = {}
        for place in _apart(others):
            for system in systems_near(place):
                text = f"{prefix}{system.text}"
                made = None if text in found else _candidate(system, text, sample, place, known)
                if made is not None:
                    found[text] = made
        if found:
            return sorted(found.values(), key=_order)
    return []


def _candidate(system: NearSystem, text: str, sample: Sample, place: Ground, known: _Known) -> Candidate | None:
    """Return what becomes of a layer in a system, None where that is far from all other data."""
    x, y = sample.middle
    xy = (y, x) if text.startswith(SWAPPED) else (x, y)
    if distance_m(system, xy, place) > NEAR_M + _DATUM_M + _half_m(place):
        return None
    try:
        conversion = to_wgs84(text, sample=sample.xy)
    except TaskdataError:
        return None
    ground = ground_of("", conversion.forward(sample.xy))
    found = None if ground is None else nearest(ground, known.others)
    if ground is None or found is None or found[1] > (_OUTSIDE_M if _is_outside(conversion, ground) else NEAR_M):
        return None
    order = _rank(system, conversion, known.systems)
    return Candidate(system, text, conversion, ground, found[1], found[0], order)


def _rank(system: NearSystem, conversion: Transformation, stated: frozenset[_Key]) -> int:
    """Return how likely a system is by its datum: below 0 where a layer is in that very system, or on its datum."""
    if any(f"EPSG:{key.code}" == system.text for key in stated):
        return SAME_SYSTEM
    return SAME_DATUM if any(key.base == system.base for key in stated) else rank(conversion.datum)


def _order(item: Candidate) -> tuple[int, bool, bool, bool, bool, int, int, str]:
    """Return what makes a candidate better.

    Those come first that bring the layer nearest, in their area of use; then the very system of another layer, zones of
    Universal Transverse Mercator, the datum of another layer, and a present one.
    """
    bucket = sum(item.gap_m > edge for edge in _BUCKETS_M)
    outside = _is_outside(item.conversion, item.ground)
    zone = any(word in item.system.name for word in _ZONES)
    rare = item.conversion.unit == "foot" or bool(_RARE.search(item.system.name))
    return bucket, outside, item.rank != SAME_SYSTEM, rare, not zone, item.rank, len(item.text), item.text


def _is_outside(conversion: Transformation, ground: Ground) -> bool:
    return conversion.use is not None and bool(conversion.use.beyond([ground.middle])[0] > 0.0)


def _apart(others: Sequence[Ground]) -> list[Ground]:
    """Return some of the others that do not lie on one another."""
    chosen: list[Ground] = []
    for other in others:
        if all(gap_m(other, item) > NEAR_M for item in chosen):
            chosen.append(other)
    return chosen[:_OTHERS]


def _half_m(place: Ground) -> float:
    corners = [[place.west, place.south]], [[place.east, place.north]]
    return float(np.nan_to_num(inverse(*corners)[1][0])) / 2.0


def _key(system: str) -> _Key:
    """Return the code of a system and the name of the degrees that it rests on."""
    crs = CRS.from_user_input(turned(system) if is_swapped(system) else system)
    base = crs.geodetic_crs
    return _Key(crs.to_epsg(), None if base is None else base.name)

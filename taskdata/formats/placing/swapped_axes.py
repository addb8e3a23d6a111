"""Degrees that come with latitude first, where longitude should stand.

Latitudes beyond 90 degrees tell it for certain. Where both ways round are possible, the other data of the source tells
it, else areas that a column states, else the open sea. Where nothing tells it, the degrees stay as they are.
"""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.formats.placing.doubt import Doubt
from taskdata.formats.placing.ground import NEAR_M, Ground, agreed, ground_of, nearest
from taskdata.formats.placing.open_sea import is_open_sea
from taskdata.formats.placing.reasons import distance
from taskdata.formats.placing.sampling import Sample
from taskdata.formats.placing.stated_areas import stated_areas, unit_that_fits
from taskdata.geometry.arrays import Points
from taskdata.geometry.transform import to_wgs84, turned
from taskdata.results.survey import CrsGuess


def doubt_of_axes(sample: Sample, others: Sequence[Ground], crs: str) -> Doubt | None:
    """Return why degrees seem to be swapped, None where they do not.

    Parameters
    ----------
    crs : str
        The system that they state, or WGS 84.
    """
    other_way = turned(crs)
    if not sample.is_swapped_degrees:
        return None
    if not sample.is_degrees:
        why = "the second of its coordinates is beyond 90 degrees, which no latitude is"
        reasons = ["its coordinates are degrees with latitude first", *_beside(sample, others, other_way)]
        return Doubt(why, CrsGuess(other_way, tuple(reasons)))
    plain, other = (_ground(sample, text) for text in (crs, other_way))
    if plain is None or other is None or _is_near(plain, others):
        return None
    own = _by_areas(sample, crs, other_way) or _by_sea(plain, other)
    beside = None if _by_sea(other, plain) else _by_others(plain, other, others)
    if own is None and beside is None:
        return None
    reasons = [reason for reason in (beside, own) if reason is not None]
    is_sure = own is not None or agreed(others, by_axes=True)
    return Doubt("its coordinates seem to be swapped, latitude first", CrsGuess(other_way, tuple(reasons)), is_sure)


def _ground(sample: Sample, crs: str) -> Ground | None:
    return ground_of("", _placed(sample, crs))


def _placed(sample: Sample, crs: str) -> Points:
    return to_wgs84(crs, sample=sample.xy).forward(sample.xy)


def _is_near(place: Ground, others: Sequence[Ground]) -> bool:
    found = nearest(place, others)
    return found is not None and found[1] <= NEAR_M


def _beside(sample: Sample, others: Sequence[Ground], other_way: str) -> list[str]:
    """Return how far from the other data a layer lies that is swapped for certain."""
    place = _ground(sample, other_way)
    found = None if place is None else nearest(place, others)
    return [] if found is None else [f"turned round it lies {_at(found)}"]


def _at(found: tuple[Ground, float]) -> str:
    place, gap = found
    return f"on the ground of {place.name}" if gap == 0.0 else f"{distance(gap)} from {place.name}"


def _by_others(plain: Ground, other: Ground, others: Sequence[Ground]) -> str | None:
    """Return that a layer lies with the other data if it is turned round, None if it does not."""
    here, there = nearest(plain, others), nearest(other, others)
    if here is None or there is None or there[1] > NEAR_M:
        return None
    return f"with longitude first it lies {distance(here[1])} from {here[0].name}, with latitude first {_at(there)}"


def _by_areas(sample: Sample, crs: str, other_way: str) -> str | None:
    """Return that areas agree one way round alone: a degree of longitude is shorter the farther from the equator."""
    stated = stated_areas(sample)
    if stated is None or unit_that_fits(sample, stated, to_wgs84(crs, sample=sample.xy)) is not None:
        return None
    unit = unit_that_fits(sample, stated, to_wgs84(other_way, sample=sample.xy))
    if unit is None:
        return None
    return f"with latitude first its areas agree with the {unit} of its column {stated.column}, otherwise they do not"


def _by_sea(plain: Ground, other: Ground) -> str | None:
    """Return that a layer is in open sea, and on land if it is turned round; None if it is not so."""
    if not is_open_sea(*plain.middle) or is_open_sea(*other.middle):
        return None
    lon, lat = plain.middle
    return f"with longitude first it lies in open sea (about {lat:.1f}, {lon:.1f}), with latitude first on land"

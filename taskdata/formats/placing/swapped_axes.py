"""Degrees that come with latitude first, where longitude should stand.

Latitudes beyond 90 degrees tell it for certain. Where both ways round are possible, the other data of the source tells
it, else areas that a column states, else the open sea. Where nothing tells it, the degrees stay as they are.
"""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.formats.placing.candidates import NEAR_M
from taskdata.formats.placing.doubt import Doubt
from taskdata.formats.placing.ground import Ground, ground_of, nearest
from taskdata.formats.placing.open_sea import is_open_sea
from taskdata.formats.placing.reasons import distance
from taskdata.formats.placing.sampling import MOST_LAT, MOST_LON, STRAY, Sample
from taskdata.formats.placing.stated_areas import stated_areas, unit_that_fits
from taskdata.geometry.arrays import Points
from taskdata.geometry.transform import SWAPPED, to_wgs84
from taskdata.results.survey import CrsGuess


def doubt_of_axes(sample: Sample, others: Sequence[Ground], crs: str) -> Doubt | None:
    """Return why degrees seem to be swapped, None where they do not.

    Parameters
    ----------
    crs : str
        The system that they state, or WGS 84.
    """
    turned = f"{SWAPPED}{crs}"
    if sample.share_within(MOST_LAT, MOST_LON) < 1.0 - STRAY:
        return None
    if sample.share_within(MOST_LON, MOST_LAT) < 1.0 - STRAY:
        why = "the second of its coordinates is beyond 90 degrees, which no latitude is"
        reasons = ["its coordinates are degrees with latitude first", *_beside(sample, others, turned)]
        return Doubt(why, CrsGuess(turned, tuple(reasons)))
    plain, other = (_ground(sample, text) for text in (crs, turned))
    if plain is None or other is None:
        return None
    reason = _by_others(plain, other, others)
    if reason is None and not _near(plain, others):
        reason = _by_areas(sample, crs, turned) or _by_sea(plain, other)
    if reason is None:
        return None
    return Doubt("its coordinates seem to be swapped, latitude first", CrsGuess(turned, (reason,)))


def _ground(sample: Sample, crs: str) -> Ground | None:
    return ground_of("", _placed(sample, crs))


def _placed(sample: Sample, crs: str) -> Points:
    return to_wgs84(crs, sample=sample.xy).forward(sample.xy)


def _near(place: Ground, others: Sequence[Ground]) -> bool:
    found = nearest(place, others)
    return found is not None and found[1] <= NEAR_M


def _beside(sample: Sample, others: Sequence[Ground], turned: str) -> list[str]:
    """Return how far from the other data a layer lies that is swapped for certain."""
    place = _ground(sample, turned)
    found = None if place is None else nearest(place, others)
    return [] if found is None else [f"turned round it lies {_at(found)}"]


def _at(found: tuple[Ground, float]) -> str:
    place, gap = found
    return f"on the ground of {place.name}" if gap == 0.0 else f"{distance(gap)} from {place.name}"


def _by_others(plain: Ground, turned: Ground, others: Sequence[Ground]) -> str | None:
    here, there = nearest(plain, others), nearest(turned, others)
    if here is None or there is None or here[1] <= NEAR_M or there[1] > NEAR_M:
        return None
    return f"with longitude first it lies {distance(here[1])} from {here[0].name}, with latitude first {_at(there)}"


def _by_areas(sample: Sample, crs: str, turned: str) -> str | None:
    """Return that areas agree one way round alone: a degree of longitude is shorter the farther from the equator."""
    stated = stated_areas(sample)
    if stated is None or unit_that_fits(sample, stated, to_wgs84(crs, sample=sample.xy)) is not None:
        return None
    unit = unit_that_fits(sample, stated, to_wgs84(turned, sample=sample.xy))
    if unit is None:
        return None
    return f"with latitude first its areas agree with the {unit} of its column {stated.column}, otherwise they do not"


def _by_sea(plain: Ground, turned: Ground) -> str | None:
    if not is_open_sea(*plain.middle) or is_open_sea(*turned.middle):
        return None
    lon, lat = plain.middle
    return f"with longitude first it lies in open sea (about {lat:.1f}, {lon:.1f}), with latitude first on land"

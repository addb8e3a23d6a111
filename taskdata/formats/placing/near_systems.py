"""Systems that are in use near a place: those of the EPSG registry, and neighbouring zones.

Only systems of EPSG are asked for, none that is deprecated, and none made for half the Earth, but for the Mercator
projection of web maps. The zones of Universal Transverse Mercator are offered in feet too, which no registry lists for
WGS 84.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from pyproj import CRS, Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.database import query_crs_info
from pyproj.enums import PJType
from pyproj.exceptions import ProjError

from taskdata.formats.placing.ground import Ground

_WEB_MERCATOR = "3857"
_WIDEST_DEG = 90.0
_NOT_ASKED = re.compile(r"^WGS 72|grid system|\((N-E|E-N)\)")
"""WGS 72 was given up for WGS 84 before there were guidance displays (common practice); grid systems are no single
projection; twins whose axes come in another order are the same here."""
_ZONE_DEG = 6.0
"""How wide a zone of Universal Transverse Mercator is, and with it how far the neighbouring zone is looked for."""
_BESIDE_DEG = 1.0
"""How far north and south of its area of use a system is often kept on purpose (common practice)."""
_FEET = {"us-ft": "US survey feet", "ft": "feet"}


class NearSystem(NamedTuple):
    """A system in use near a place: the text to give, its name, and that of the degrees that it rests on."""

    text: str
    name: str
    base: str
    crs: CRS


def systems_near(place: Ground) -> Iterator[NearSystem]:
    """Yield the systems in use at a place and in the neighbouring zones."""
    lon, lat = place.middle
    lon = (lon + 180.0) % 360.0 - 180.0
    yield from _registered(round(lon, 1), round(lat, 1))
    zone = int((lon + 180.0) // _ZONE_DEG) + 1
    for number in {(zone + step - 1) % 60 + 1 for step in (-1, 0, 1)}:
        south, side = (" +south", "S") if lat < 0.0 else ("", "N")
        for unit, feet in _FEET.items():
            text = f"+proj=utm +zone={number}{south} +datum=WGS84 +units={unit} +type=crs"
            name = f"WGS 84 / UTM zone {number}{side} in {feet}"
            yield NearSystem(text, name, "WGS 84", CRS.from_user_input(text))


def distance_m(system: NearSystem, xy: Sequence[float], place: Ground) -> float:
    """Return how many metres a position in a system lies from a place, without a change of datum.

    It is infinite where the system has no position for the place.
    """
    try:
        to_system = _projection(system.text)
        here = np.array(to_system.transform(*place.middle))
    except ProjError:
        return float("inf")
    metres = system.crs.axis_info[0].unit_conversion_factor
    distance = float(np.hypot(*(here - np.asarray(xy)))) * metres
    return distance if np.isfinite(distance) else float("inf")


@cache
def _projection(text: str) -> Transformer:
    crs = CRS.from_user_input(text)
    if crs.geodetic_crs is None:
        raise ProjError(f"{crs.name} has no base")
    return Transformer.from_crs(crs.geodetic_crs, crs, always_xy=True)


@cache
def _registered(lon: float, lat: float) -> tuple[NearSystem, ...]:
    """Return the registered systems about a place, the neighbouring zones included."""
    south, north = max(lat - _BESIDE_DEG, -90.0), min(lat + _BESIDE_DEG, 90.0)
    area = AreaOfInterest(max(lon - _ZONE_DEG, -180.0), south, min(lon + _ZONE_DEG, 180.0), north)
    rows = query_crs_info(auth_name="EPSG", pj_types=[PJType.PROJECTED_CRS], area_of_interest=area, contains=False)
    found = []
    for row in rows:
        use = row.area_of_use
        wide = use is not None and (use.east - use.west) % 360.0 > _WIDEST_DEG
        if row.deprecated or _NOT_ASKED.search(row.name) or (wide and row.code != _WEB_MERCATOR):
            continue
        crs = CRS.from_epsg(row.code)
        base = crs.geodetic_crs
        if base is not None:
            found.append(NearSystem(f"EPSG:{row.code}", row.name, base.name, crs))
    return tuple(found)

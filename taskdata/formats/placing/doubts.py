"""Whether a layer is in the system that it states, or in WGS 84 where it states none.

A stated system is doubted where it is impossible (degrees in a system of metres, metres in one of degrees), where it
puts the layer outside the area that it is made for, where it puts it far from the other data and another system
brings it there, and where areas that a column states tell that the coordinates are in another length. A doubt is told;
coordinates are changed only where a person says so.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from pyproj import CRS

from taskdata.formats.placing.candidates import NEAR_M, candidates
from taskdata.formats.placing.doubt import Doubt
from taskdata.formats.placing.ground import Ground, gap_m, ground_of, nearest
from taskdata.formats.placing.reasons import distance, reasons
from taskdata.formats.placing.sampling import MOST_LAT, MOST_LON, STRAY, Sample
from taskdata.formats.placing.stated_lengths import other_length
from taskdata.formats.placing.swapped_axes import doubt_of_axes
from taskdata.geometry.transform import SWAPPED, Transformation, to_wgs84
from taskdata.results.survey import CrsGuess

WGS84 = "EPSG:4326"
_OUTSIDE_DEG = 1.0
"""How far beyond the area of use of a system a layer is often kept on purpose (common practice)."""


def doubt_of(sample: Sample, others: Sequence[Ground]) -> Doubt | None:
    """Return why it is doubted where a layer lies, None where it is plausible.

    Raises
    ------
    SourceError
        What it states is no system.
    """
    if sample.raw.crs is None:
        return _of_unstated(sample, others)
    conversion = to_wgs84(sample.raw.crs, sample=sample.xy, where=sample.raw.file)
    if not conversion.is_projected:
        return _of_degrees(sample, conversion, others)
    return _of_projected(sample, conversion, others)


def guess_near(sample: Sample, others: Sequence[Ground]) -> CrsGuess | None:
    """Return the system of a projection that brings a layer to other data, None where none does."""
    found = candidates(sample, others)
    return CrsGuess(found[0].text, reasons(sample, found, others)) if found else None


def _of_unstated(sample: Sample, others: Sequence[Ground]) -> Doubt | None:
    if _looks_like_degrees(sample):
        return doubt_of_axes(sample, others, WGS84)
    return Doubt("the coordinates are not degrees, and no system is stated", guess_near(sample, others))


def _looks_like_degrees(sample: Sample) -> bool:
    """Return whether coordinates are degrees, in either order."""
    shares = sample.share_within(MOST_LON, MOST_LAT), sample.share_within(MOST_LAT, MOST_LON)
    return max(shares) >= 1.0 - STRAY


def _of_degrees(sample: Sample, conversion: Transformation, others: Sequence[Ground]) -> Doubt | None:
    if conversion.unit != "degree":
        return None
    if _looks_like_degrees(sample):
        return doubt_of_axes(sample, others, str(sample.raw.crs))
    why = f"it states {conversion.source_name}, which is in degrees, and its coordinates are not degrees"
    return Doubt(why, guess_near(sample, others))


def _of_projected(sample: Sample, conversion: Transformation, others: Sequence[Ground]) -> Doubt | None:
    placed = ground_of(sample.raw.label, conversion.forward(sample.xy))
    near = None if placed is None else nearest(placed, others)
    outside = placed is None or _is_outside(conversion, sample)
    if near is not None and near[1] <= NEAR_M:
        return _of_length(sample, conversion)
    if outside and sample.share_within(MOST_LON, MOST_LON) == 1.0:
        return _degrees_instead(sample, conversion, others)
    if outside:
        why = f"it states {conversion.source_name}, and lies outside the area that this is made for"
        guess = guess_near(sample, others) or other_length(sample, conversion, outside=True)
        return Doubt(why, guess)
    if near is None:
        return _of_length(sample, conversion)
    guess = guess_near(sample, others)
    if guess is None:
        return _of_length(sample, conversion)
    why = f"it states {conversion.source_name}, which puts it {distance(near[1])} from {near[0].name}"
    return Doubt(why, guess, is_sure=_agree(others))


def _of_length(sample: Sample, conversion: Transformation) -> Doubt | None:
    """Return the doubt whether coordinates are in the length that a system says."""
    guess = other_length(sample, conversion, outside=False)
    return None if guess is None else Doubt(f"it states {conversion.source_name}, in {conversion.unit}", guess)


def _is_outside(conversion: Transformation, sample: Sample) -> bool:
    """Return whether nearly all of a layer lies well outside the area of use of its system, or nowhere."""
    points = conversion.forward(sample.xy)
    lost = ~np.isfinite(points).all(axis=1)
    if conversion.use is not None:
        lost |= np.nan_to_num(conversion.use.beyond(points)) > _OUTSIDE_DEG
    return float(lost.mean()) >= 1.0 - STRAY


def _degrees_instead(sample: Sample, conversion: Transformation, others: Sequence[Ground]) -> Doubt:
    """Return the doubt about degrees that state a projection, with the base of that projection as the guess."""
    why = f"it states {conversion.source_name}, and its coordinates look like degrees"
    base = _base(str(sample.raw.crs))
    for crs in (base, f"{SWAPPED}{base}"):
        place = ground_of("", to_wgs84(crs, sample=sample.xy).forward(sample.xy))
        if place is None:
            continue
        near = nearest(place, others)
        if near is not None and near[1] <= NEAR_M:
            return Doubt(why, CrsGuess(crs, (f"as degrees they lie {distance(near[1])} from {near[0].name}",)))
        use = conversion.use
        if use is not None and float(use.beyond([place.middle])[0]) == 0.0:
            return Doubt(why, CrsGuess(crs, (f"as degrees they lie in the area of use of {conversion.source_name}",)))
    return Doubt(why, None)


def _base(crs: str) -> str:
    """Return the degrees that a projection rests on, as a code where it has one."""
    base = CRS.from_user_input(crs).geodetic_crs
    code = None if base is None else base.to_epsg()
    return WGS84 if base is None else base.to_wkt() if code is None else f"EPSG:{code}"


def _agree(others: Sequence[Ground]) -> bool:
    """Return whether the other data tells where the farm is: degrees do, and two layers that agree."""
    if any(other.system is None for other in others):
        return True
    pairs = ((one, two) for number, one in enumerate(others) for two in others[:number])
    return any(gap_m(one, two) <= NEAR_M for one, two in pairs)

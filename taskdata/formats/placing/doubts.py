"""Whether a layer is in the system that it states, or in WGS 84 where it states none.

A stated system is doubted where it is impossible (degrees in a system of metres, metres in one of degrees), where it
puts the layer outside the area that it is made for, where it puts it far from the other data and another system
brings it there, and where areas that a column states tell that the coordinates are in another length. A doubt is told;
coordinates are changed only where a person says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from pyproj import CRS

from taskdata.formats.placing.candidates import candidates
from taskdata.formats.placing.doubt import Doubt
from taskdata.formats.placing.ground import NEAR_M, Ground, agreed, ground_of, nearest
from taskdata.formats.placing.reasons import distance, plural, reasons
from taskdata.formats.placing.sampling import STRAY, Sample
from taskdata.formats.placing.stated_lengths import other_length
from taskdata.formats.placing.swapped_axes import doubt_of_axes
from taskdata.geometry.transform import Transformation, is_swapped, to_wgs84, turned
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
    if is_swapped(sample.raw.crs):
        return _turned_back(doubt_of(sample.turned(turned(sample.raw.crs)), others))
    conversion = to_wgs84(sample.raw.crs, sample=sample.xy, where=sample.raw.file)
    if not conversion.is_projected:
        return _of_degrees(sample, conversion, others)
    return _of_projected(sample, conversion, others)


def _turned_back(doubt: Doubt | None) -> Doubt | None:
    """Return what a doubt about coordinates that were turned round says of them as they stand."""
    if doubt is None or doubt.guess is None:
        return doubt
    return replace(doubt, guess=replace(doubt.guess, crs=turned(doubt.guess.crs)))


def guess_near(sample: Sample, others: Sequence[Ground]) -> CrsGuess | None:
    """Return the system of a projection that brings a layer to other data, None where none does."""
    found = candidates(sample, others)
    return CrsGuess(found[0].text, reasons(sample, found, others)) if found else None


def _of_unstated(sample: Sample, others: Sequence[Ground]) -> Doubt | None:
    if sample.is_degrees or sample.is_swapped_degrees:
        return doubt_of_axes(sample, others, WGS84)
    return Doubt("the coordinates are not degrees, and no system is stated", guess_near(sample, others))


def _of_degrees(sample: Sample, conversion: Transformation, others: Sequence[Ground]) -> Doubt | None:
    if conversion.unit != "degree":
        return None
    if sample.is_degrees or sample.is_swapped_degrees:
        return doubt_of_axes(sample, others, str(sample.raw.crs))
    why = f"{conversion.source_name} is in degrees, and its coordinates are not"
    return Doubt(why, guess_near(sample, others))


def _of_projected(sample: Sample, conversion: Transformation, others: Sequence[Ground]) -> Doubt | None:
    placed = ground_of(sample.raw.label, conversion.forward(sample.xy))
    near = None if placed is None else nearest(placed, others)
    outside = placed is None or _is_outside(conversion, sample)
    if near is not None and near[1] <= NEAR_M:
        return _of_length(sample, conversion)
    if outside and (sample.is_degrees or sample.is_swapped_degrees):
        return _degrees_instead(sample, conversion, others)
    if outside:
        why = f"{conversion.source_name} puts it outside the area that this system is made for"
        guess = guess_near(sample, others) or other_length(sample, conversion, outside=True)
        return Doubt(why, guess, is_told=True)
    if near is None:
        return _of_length(sample, conversion)
    guess = guess_near(sample, others)
    if guess is None:
        return _of_length(sample, conversion)
    why = f"{conversion.source_name} puts it {distance(near[1])} from {near[0].name}"
    return Doubt(why, guess, is_sure=agreed(others))


def _of_length(sample: Sample, conversion: Transformation) -> Doubt | None:
    """Return the doubt whether coordinates are in the length that a system says."""
    guess = other_length(sample, conversion, outside=False)
    why = (
        f"{conversion.source_name} is in {plural(conversion.unit)}, and the areas in a column speak for another length"
    )
    return None if guess is None else Doubt(why, guess)


def _is_outside(conversion: Transformation, sample: Sample) -> bool:
    """Return whether nearly all of a layer lies well outside the area of use of its system, or nowhere."""
    points = conversion.forward(sample.xy)
    lost = ~np.isfinite(points).all(axis=1)
    if conversion.use is not None:
        lost |= np.nan_to_num(conversion.use.beyond(points)) > _OUTSIDE_DEG
    return float(lost.mean()) >= 1.0 - STRAY


def _degrees_instead(sample: Sample, conversion: Transformation, others: Sequence[Ground]) -> Doubt:
    """Return the doubt about degrees that state a projection, with the base of that projection as the guess."""
    why = f"{conversion.source_name} is in {plural(conversion.unit)}, and its coordinates look like degrees"
    base = _base(str(sample.raw.crs))
    for crs in (base, turned(base)):
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

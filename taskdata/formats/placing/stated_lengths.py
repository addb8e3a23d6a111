"""Coordinates that are in another length than the system of a layer says: feet for metres, or metres for feet.

They are known by where the layer would lie, inside the area of use of its system in one length alone, and by areas
that a column states. US survey foot and international foot differ by two parts in a million, which neither tells.
"""

from __future__ import annotations

from pyproj import CRS

from taskdata.formats.placing.candidates import SAME_M, candidates
from taskdata.formats.placing.ground import Ground, ground_of
from taskdata.formats.placing.reasons import feet
from taskdata.formats.placing.sampling import Sample
from taskdata.formats.placing.stated_areas import stated_areas, unit_that_fits
from taskdata.geometry.geodesy import inverse
from taskdata.geometry.transform import Transformation, to_wgs84
from taskdata.results.survey import CrsGuess

_US_FOOT_M = 1200.0 / 3937.0
"""NIST SP 811."""


def other_length(sample: Sample, conversion: Transformation, *, outside: bool) -> CrsGuess | None:
    """Return the system of a layer in the other length, None where its coordinates are not in that.

    Parameters
    ----------
    outside : bool
        Whether the layer lies outside the area of use as it stands. Otherwise areas alone can tell the length.
    """
    in_metres = conversion.unit == "metre"
    scale = _US_FOOT_M if in_metres else 1.0 / _US_FOOT_M
    read_as = "US survey feet" if in_metres else "metres"
    place = ground_of("", conversion.forward(sample.xy * scale))
    use = conversion.use
    if place is None or use is None or float(use.beyond([place.middle])[0]) > 0.0:
        return None
    stated = stated_areas(sample)
    fits = None if stated is None else unit_that_fits(sample, stated, conversion, scale)
    if not outside and (stated is None or fits is None or unit_that_fits(sample, stated, conversion) is not None):
        return None
    system = conversion.source_name
    text = _registered(sample, place._replace(system=sample.raw.crs)) or _rescaled(str(sample.raw.crs), in_metres)
    reasons = [f"in {read_as} it lies in the area of use of {system}" + (", otherwise outside" if outside else "")]
    if stated is not None and fits is not None:
        reasons.append(
            f"in {read_as} its areas agree with the {fits} of its column {stated.column}, otherwise they do not"
        )
    elif stated is not None:
        reasons.append(f"against it: in {read_as} its areas do not agree with its column {stated.column} either")
    return CrsGuess(text, (*reasons, *feet(sample, to_wgs84(text))))


def _registered(sample: Sample, place: Ground) -> str | None:
    """Return the registered system that puts a layer at a place, None where there is none."""
    for item in candidates(sample, [place]):
        if float(inverse([item.ground.middle], [place.middle])[1][0]) <= SAME_M:
            return item.text
    return None


def _rescaled(crs: str, to_feet: bool) -> str:
    """Return a system with its axes in the other length, as well-known text."""
    described = CRS.from_user_input(crs).to_json_dict()
    described.pop("id", None)
    described["name"] += " in US survey feet" if to_feet else " in metres"
    unit = {"type": "LinearUnit", "name": "US survey foot", "conversion_factor": _US_FOOT_M} if to_feet else "metre"
    for axis in described["coordinate_system"]["axis"]:
        axis["unit"] = unit
    return str(CRS.from_json_dict(described).to_wkt())

"""What speaks for a guess of a system, and what else would fit, in words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import numpy as np
from pyproj import CRS

from taskdata.formats.placing.candidates import SAME_DATUM, SAME_M, SAME_SYSTEM, Candidate
from taskdata.formats.placing.ground import NEAR_M, Ground, ground_of, nearest
from taskdata.formats.placing.sampling import Sample
from taskdata.formats.placing.stated_areas import stated_areas, unit_that_fits
from taskdata.geometry.geodesy import inverse
from taskdata.geometry.transform import Transformation, to_wgs84
from taskdata.results.survey import CrsGuess

_LISTED = 3
_LONGEST = 80
_US_FOOT, _FOOT = "US survey foot", "foot"


def reasons(sample: Sample, found: Sequence[Candidate], others: Sequence[Ground]) -> tuple[str, ...]:
    """Return what speaks for the first of several candidates, the best, and what for the others."""
    best, *rest = found
    unit = "" if best.conversion.unit == "metre" else f", with its coordinates in {plural(best.conversion.unit)},"
    swapped = ", with north before east," if best.conversion.swapped else ""
    limit = f"{NEAR_M / 1000:.0f} km"
    brought = f"{best.system.name}{unit}{swapped} brings it {_to(best)} (systems in use there were tried up to {limit})"
    return (
        brought,
        *_zones(sample, best, others),
        *_alike(best, rest),
        *_elsewhere(best, rest),
        *feet(sample, best.conversion),
        *_areas(sample, best),
    )


def _areas(sample: Sample, best: Candidate) -> Iterator[str]:
    """Yield whether the areas that a column states agree with those of the shapes."""
    stated = stated_areas(sample)
    if stated is None:
        return
    fits = unit_that_fits(sample, stated, best.conversion)
    if fits is None:
        yield f"against it: its areas do not agree with its column {stated.column}"
    else:
        yield f"its areas agree with the {fits} of its column {stated.column}"


def _to(item: Candidate) -> str:
    if item.gap_m == 0.0:
        return f"to the ground of {item.other.name}"
    return f"to within {distance(item.gap_m)} of {item.other.name}"


def _zones(sample: Sample, best: Candidate, others: Sequence[Ground]) -> Iterator[str]:
    """Yield how far from the other data the neighbouring zones would put a layer that is in a zone."""
    zone = re.fullmatch(r"(\d+)([NS])", CRS.from_user_input(best.system.text).utm_zone or "")
    if zone is None or best.conversion.swapped:
        return
    first = 32700 if zone[2] == "S" else 32600
    metres = sample.xy * best.system.crs.axis_info[0].unit_conversion_factor
    numbers = [(int(zone[1]) + step - 1) % 60 + 1 for step in (-1, 1)]
    places = [ground_of("", to_wgs84(f"EPSG:{first + number}").forward(metres)) for number in numbers]
    found = [None if place is None else nearest(place, others) for place in places]
    told = [
        f"zone {number} {distance(near[1])}" for number, near in zip(numbers, found, strict=True) if near is not None
    ]
    if told:
        yield f"the neighbouring zones would leave it far off, {' and '.join(told)}"


def _alike(best: Candidate, rest: Sequence[Candidate]) -> Iterator[str]:
    """Yield which systems place a layer alike, so that nothing tells them apart."""
    twins = [(item, gap) for item in rest if (gap := _between_m(best, item)) <= SAME_M]
    if not twins:
        return
    most = max(gap for _, gap in twins)
    how_far = "at the same place" if most < 0.01 else f"within {most:.1f} m of it"
    known = {SAME_SYSTEM: "a layer is in it", SAME_DATUM: "a layer is on its datum", 0: "it is on WGS 84"}
    usual = any(item.rank > best.rank for item, _ in twins)
    rest_why = (
        "its datum is the more usual (common practice)" if usual else "nothing tells them apart and it comes first"
    )
    why = known.get(best.rank, rest_why)
    yield f"{_listed([item for item, _ in twins])} would place it {how_far}: {best.text} was preferred since {why}"


def _elsewhere(best: Candidate, rest: Sequence[Candidate]) -> Iterator[str]:
    """Yield which systems bring a layer to the other data too, but to another place."""
    far = sorted((gap, item.text) for item in rest if (gap := _between_m(best, item)) > SAME_M)
    if far:
        names = {item.text: item.system.name for item in rest}
        shown = [f"{text} ({names[text]}), {distance(gap)} from there" for gap, text in far[:_LISTED]]
        yield f"also possible: {'; '.join(shown)}{_more(len(far))}"


def feet(sample: Sample, conversion: Transformation) -> Iterator[str]:
    """Yield how far the other kind of foot would place a layer whose coordinates are in feet."""
    kinds = {_US_FOOT: (_FOOT, 1.0 - 2e-6), _FOOT: (_US_FOOT, 1.0 + 2e-6)}
    if conversion.unit not in kinds:
        return
    other, scale = kinds[conversion.unit]
    here, there = conversion.forward(np.array([sample.middle, np.array(sample.middle) * scale]))
    apart = float(inverse([here], [there])[1][0])
    yield (
        f"in {'international' if other == _FOOT else 'US survey'} feet (2 parts in a million apart) it would lie "
        f"{apart:.1f} m away, which no coordinate tells"
    )


def _between_m(one: Candidate, other: Candidate) -> float:
    return float(inverse([one.ground.middle], [other.ground.middle])[1][0])


def _listed(items: Sequence[Candidate]) -> str:
    shown = [f"{item.text} ({item.system.name})" for item in items[:_LISTED]]
    return ", ".join(shown) + _more(len(items))


def _more(count: int) -> str:
    return f" and {count - _LISTED} more" if count > _LISTED else ""


def named(crs: str) -> str:
    """Return what to call a system in a sentence: its code or text, its name where the text is long."""
    return crs if len(crs) <= _LONGEST else to_wgs84(crs).source_name


def sentence(guess: CrsGuess) -> str:
    """Return a guess with its reasons, for a message."""
    return f"Most likely it is in {named(guess.crs)}: {'; '.join(guess.reasons)}"


def offer(guess: CrsGuess) -> str:
    """Return a guess with its reasons, and how to use it."""
    naming = "[[crs]]" if any(mark in guess.crs for mark in " []") else f"[[crs={guess.crs}]]"
    return f"{sentence(guess)}. If that is right, give [[accept_guess]] or {naming}"


def offer_briefly(guess: CrsGuess) -> str:
    """Return a guess without its reasons, as a part of a sentence."""
    return f"most likely it is in {named(guess.crs)}"


def distance(metres: float) -> str:
    """Return a distance in words."""
    return f"{metres / 1000:,.0f} km" if metres >= 10_000.0 else f"{max(metres, 1.0):,.0f} m"


def plural(unit: str) -> str:
    """Return the name of a unit of length for several of it."""
    return unit.replace("foot", "feet") if "foot" in unit else f"{unit}s"

"""What was concluded of a layer of coverage, and what of it is not among its passes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.amounts import counted
from taskdata.fieldwork.swaths.swath_rows import GroundRows, SwathRows
from taskdata.findings import Finding, Place
from taskdata.geometry.slivers import JoinedGround
from taskdata.geometry.swaths.recover import Basis, Recovered
from taskdata.raised_rules.import_.coverage_joined import RULE as JOINED
from taskdata.raised_rules.import_.driving_unknown import RULE as DRIVING_UNKNOWN
from taskdata.raised_rules.import_.swath_rows_left_aside import RULE as LEFT_ASIDE
from taskdata.raised_rules.import_.swath_width_contradicts import RULE as WIDTH_CONTRADICTS
from taskdata.raised_rules.import_.swaths_recovered import RULE as RECOVERED

_OFF = 0.05


def findings_of(label: str, file: str, rows: SwathRows, ground: GroundRows, found: Recovered) -> Iterator[Finding]:
    """Yield the findings on one layer."""
    place = Place(file=file)
    if found.width is not None:
        width, spread = f"{found.width.metres:.2f} m", f"{100.0 * found.width.spread_m:.1f} cm"
        passes = counted(len(found.passes), "pass", "passes")
        basis = "position, since nothing tells when each was driven" if found.basis is Basis.NONE else str(found.basis)
        yield RECOVERED.at(place, layer=label, count=passes, width=width, spread=spread, basis=basis)
        yield from _contradicted(label, place, rows, ground, found)
    undirected = len(found.directed) - sum(found.directed)
    if found.basis is Basis.NONE and found.passes:
        yield DRIVING_UNKNOWN.at(place, layer=label, what="the order of the passes")
    if undirected:
        what = f"the direction of {counted(undirected, 'pass', 'passes')}"
        yield DRIVING_UNKNOWN.at(place, layer=label, what=what)
    lines = shapely.get_type_id(ground.shapes[found.aside]) == shapely.GeometryType.LINESTRING
    reasons = (
        (ground.empty, "row", "without a polygon or line on Earth"),
        (ground.far, "row", "farther than half a degree from the others"),
        (ground.idle, "row", "whose state says that no work was done"),
        (int(lines.sum()), "line", "without a width"),
        (int((~lines).sum()), "polygon", "not a strip that a bar swept, such as the outline of larger ground"),
    )
    for number, noun, reason in reasons:
        if number:
            yield LEFT_ASIDE.at(place, layer=label, count=counted(number, noun), reason=reason)


def findings_of_ground(label: str, file: str, clean: JoinedGround | None) -> Iterator[Finding]:
    """Yield what joining the polygons of a layer came to."""
    if clean is not None and clean.union_m2 > 0.0:
        share = f"{100.0 * abs(clean.area_m2 / clean.union_m2 - 1.0):.2f} %"
        count = counted(int(shapely.get_num_geometries(clean.shape)), "polygon")
        area, limit = f"{1e-4 * clean.area_m2:.3f} ha", f"{clean.gap_m:.2g} m"
        yield JOINED.at(Place(file=file), layer=label, count=count, area=area, limit=limit, share=share)


def _contradicted(label: str, place: Place, rows: SwathRows, ground: GroundRows, found: Recovered) -> Iterator[Finding]:
    """Yield where neither polygons nor all of them side by side are as wide as their rows say."""
    polygons = shapely.get_type_id(ground.shapes) == shapely.GeometryType.POLYGON
    if rows.width_m is None or found.width is None or not polygons.any():
        return
    stated = rows.width_m[ground.row[polygons]]
    stated = stated[np.isfinite(stated)]
    usual = float(np.median(stated)) if len(stated) else found.width.metres
    if all(abs(usual - drawn) > _OFF * drawn for drawn in (found.width.metres, found.drawn_m) if drawn is not None):
        width = f"{found.width.metres:.2f} m"
        yield WIDTH_CONTRADICTS.at(place, layer=label, stated=f"{usual:.2f} m", width=width)

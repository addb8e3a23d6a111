"""Leave out rings that are too thin to be an area.

Why it needs a look: a narrow strip may be meant, such as a ditch that is left out.
"""

from __future__ import annotations

import numpy as np

from taskdata.checks.geometry.sliver import check
from taskdata.findings import Finding
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.all_strings import RING_TYPES, is_ring
from taskdata.repairs.geometry.strings import strings_below
from taskdata.repairs.repair_work import RepairWork, remove
from taskdata.results.cleaning import Standing

RULES = ("geometry.sliver",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.near-repeated-point",)

_OUTER = RING_TYPES[0]
_BOUNDARY = "1"


def repair(work: RepairWork) -> None:
    """Drop each sliver that is a hole, or whose field or zone has another polygon that can stand without it."""
    found = work.found(check)
    named = {item.attributes[letter] for item, letter in work.references()} if found else set()
    removed: set[Element] = set()
    for element, finding in found:
        string = _ring_at(element, finding)
        gone = None if string is None else _what_goes(string)
        if gone is None or gone.parent is None or gone.id in named or element in removed:
            continue
        reason = phrase(
            "{length} m long and {size} m wide on average", length=finding.facts["length"], size=finding.facts["size"]
        )
        work.note(RULES[0], gone, "a ring" if gone is string else "a polygon", None, reason)
        remove(gone)
        removed.add(gone)
        work.moved_in(gone.parent)


def _ring_at(element: Element, finding: Finding) -> Element | None:
    """Return the ring that begins where a finding says; None where several do, or it stands in a binary file."""
    place = np.array(finding.place.location)
    rings = [string for string in strings_below(element) if is_ring(string)]
    found = [ring for ring in rings if (ring.coordinates()[:1] == place).all(axis=1).any()]
    return found[0] if len(found) == 1 else None


def _what_goes(string: Element) -> Element | None:
    """Return the ring where its polygon keeps an outer one, the polygon where its owner can do without it."""
    polygon = string.parent
    if polygon is None or polygon.parent is None:
        return None
    outer = [item for item in polygon.elements("LSG") if item.get("LineStringType") == _OUTER]
    if string not in outer or len(outer) > 1:
        return string
    others = [item for item in polygon.parent.elements("PLN") if item is not polygon]
    is_boundary = polygon.get("PolygonType") == _BOUNDARY
    enough = [item for item in others if not is_boundary or item.get("PolygonType") == _BOUNDARY]
    return polygon if enough else None

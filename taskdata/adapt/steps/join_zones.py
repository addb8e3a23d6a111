"""Zones of the same place become one zone with several setpoints."""

from __future__ import annotations

from itertools import groupby

from taskdata.adapt.adaptation import Adaptation
from taskdata.adapt.zones import grid_codes, named_codes, plain_code
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import Element, Node
from taskdata.isoxml.writing.write import element_text
from taskdata.phrases import phrase

_CODE = letter("TZN", "TreatmentZoneCode")
_APART = ("ProcessDataDDI", "ProductIdRef", "DeviceElementIdRef")


def join_zones(work: Adaptation) -> None:
    """Join zones that follow each other and are equal but for code and setpoint: the way back of R-260.

    Version 3 keeps the setpoints of one place in one zone. Zones that the task or a grid names stay apart, and so do
    those whose setpoints nothing but the zone tells apart.
    """
    for task in work.tagged("TSK"):
        named: set[str] | None = None
        for _, found in groupby(list(task.elements("TZN")), key=_place):
            zones = list(found)
            if len(zones) < 2 or not any(zones[0].elements("PLN")) or not _told_apart(zones):
                continue
            named = named_codes(task) | grid_codes(work.document, task) if named is None else named
            codes = [zone.get("TreatmentZoneCode") or "" for zone in zones]
            if named.isdisjoint(map(plain_code, codes)):
                _join(work, zones, codes)


def _join(work: Adaptation, zones: list[Element], codes: list[str]) -> None:
    first, *others = zones
    for other in others:
        for setpoint in list(other.elements("PDV")):
            first.append(setpoint)
        work.remove(other)
    what = phrase(
        "zones {codes} at the same place become zone {first_code} with {count} setpoints",
        codes=", ".join(codes),
        first_code=codes[0],
        count=len(zones),
    )
    work.alter(
        first, what, phrase("version {target} keeps all setpoints for one place in one zone", target=work.target)
    )


def _place(zone: Element) -> str:
    """Return all of a zone but its code and its setpoints."""
    rest = Element(zone.tag, {key: text for key, text in zone.attributes.items() if key != _CODE})
    rest.children = [child for child in zone.children if not _is_setpoint(child)]
    return element_text(rest)


def _told_apart(zones: list[Element]) -> bool:
    """Tell whether each zone has one setpoint, of another value, product or part than the others."""
    setpoints = [list(zone.elements("PDV")) for zone in zones]
    keys = {tuple(setpoint.get(name) for name in _APART) for held in setpoints for setpoint in held}
    return all(len(held) == 1 for held in setpoints) and len(keys) == len(zones)


def _is_setpoint(node: Node) -> bool:
    return isinstance(node, Element) and node.tag == "PDV"

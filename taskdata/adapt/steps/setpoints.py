"""Setpoints lose operation and element instance."""

from __future__ import annotations

from collections import defaultdict
from typing import TypeAlias

from taskdata.adapt.adaptation import Adaptation
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase

_Texts: TypeAlias = tuple[str | None, ...]
_GROUPING = ("ActualCulturalPracticeValue", "ElementTypeInstanceValue")
_LEFT = ("ProcessDataDDI", "ProductIdRef", "DeviceElementIdRef")


def ungroup_setpoints(work: Adaptation) -> None:
    """Drop operation and element instance of setpoints (R-241); warn where nothing else told two of a task apart."""
    for task in work.tagged("TSK"):
        for codes in _ambiguous(task):
            told = (
                phrase("zone {first_code} holds", first_code=codes[0])
                if len(codes) == 1
                else phrase("zones {codes} hold", codes=", ".join(codes))
            )
            what = phrase("{told} setpoints that nothing tells apart any longer", told=told)
            work.alter(
                task,
                what,
                phrase("operation and element instance told them apart; do not send it to a machine unchecked"),
            )
    for setpoint in work.tagged("PDV"):
        for name in _GROUPING:
            work.drop_attribute(setpoint, name)


def _ambiguous(task: Element) -> list[list[str]]:
    """Return the codes of the zones whose setpoints differ in what is dropped and in nothing else that is left."""
    groupings: dict[_Texts, set[_Texts]] = defaultdict(set)
    codes: dict[_Texts, dict[str, None]] = defaultdict(dict)
    for zone in task.elements("TZN"):
        for setpoint in zone.elements("PDV"):
            products = (part.get("ProductIdRef") for part in setpoint.elements("PDV"))
            left = (*(setpoint.get(name) for name in _LEFT), *products)
            groupings[left].add(tuple(setpoint.get(name) for name in _GROUPING))
            codes[left].setdefault(zone.get("TreatmentZoneCode") or "")
    return [list(codes[left]) for left, found in groupings.items() if len(found) > 1]

"""Setpoints lose operation and element instance."""

from __future__ import annotations

from collections import Counter

from taskdata.adapt.work import Work
from taskdata.isoxml.element import Element

_GROUPING = ("ActualCulturalPracticeValue", "ElementTypeInstanceValue")
_LEFT = ("ProcessDataDDI", "ProductIdRef", "DeviceElementIdRef")


def ungroup_setpoints(work: Work) -> None:
    """Drop operation and element instance of setpoints (R-241); warn where nothing else told two of a zone apart."""
    for zone in work.tagged("TZN"):
        setpoints = list(zone.elements("PDV"))
        grouped = any(setpoint.get(name) for setpoint in setpoints for name in _GROUPING)
        alike = Counter(_apart(setpoint) for setpoint in setpoints)
        if grouped and max(alike.values(), default=0) > 1:
            what = f"zone {zone.get('TreatmentZoneCode')} holds setpoints that nothing tells apart any more"
            work.alter(zone, what, "operation and element instance told them apart; do not send it to a machine unseen")
    for setpoint in work.tagged("PDV"):
        for name in _GROUPING:
            work.drop_attribute(setpoint, name)


def _apart(setpoint: Element) -> tuple[str | None, ...]:
    return tuple(setpoint.get(name) for name in _LEFT)

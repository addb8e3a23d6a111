"""Short ways to the parts of the machines and to what most tasks hold."""

from __future__ import annotations

from _xml import Element, el

BOOM, SPRAYER_ROOT, TANK = "DET203", "DET201", "DET204"
SEED, STARTER, DRILL_BOOM, DRILL_ROOT = "DET304", "DET305", "DET303", "DET301"
TRACTOR_ROOT, SPRAYER_HITCH, DRILL_HITCH, TRACTOR_HITCH = "DET101", "DET202", "DET302", "DET103"


def planned(start: str, hours: int) -> Element:
    """Return a planned allocation stamp."""
    return el("ASP", Start=f"{start}+02:00", Duration=3600 * hours, Type=1)


def coupling(tool: str, hitch: str) -> Element:
    """Return the connection of the tractor with a tool."""
    return el(
        "CNN", DeviceIdRef_0="DVC1", DeviceElementIdRef_0=TRACTOR_HITCH, DeviceIdRef_1=tool, DeviceElementIdRef_1=hitch
    )


def setpoint(ddi: int, value: int, part: str | None, **more: object) -> Element:
    """Return a PDV."""
    return el("PDV", ProcessDataDDI=f"{ddi:04X}", ProcessDataValue=value, DeviceElementIdRef=part, **more)

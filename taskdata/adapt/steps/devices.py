"""Devices lose the front of long structure labels, and control sources."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label

_LABEL_OCTETS = 7
_CONTROL_SOURCE = 4


def simplify_devices(work: Adaptation) -> None:
    """Cut structure labels to their last 7 bytes (R-253); clear the bit of control sources (R-254)."""
    cut: dict[str, str] = {}
    for device in work.tagged("DVC"):
        text = device.get("DeviceStructureLabel") or ""
        short = text[-2 * _LABEL_OCTETS :]
        if short != text:
            device.set("DeviceStructureLabel", short)
            what = f"structure label is cut to its last {_LABEL_OCTETS} bytes"
            work.alter(device, what, f"version {work.target} allows no more")
        same = (short.upper(), (device.get("ClientNAME") or "").upper())
        if "".join(same) in cut and cut["".join(same)] != text:
            work.alter(
                device, f"{label(device)} now has the same label as another device", "only the cut part told them apart"
            )
        cut["".join(same)] = text
    for data in work.tagged("DPD"):
        bits = (data.get("DeviceProcessDataProperty") or "").strip()
        if bits.isascii() and bits.isdigit() and int(bits) & _CONTROL_SOURCE:
            data.set("DeviceProcessDataProperty", str(int(bits) & ~_CONTROL_SOURCE))
            work.alter(data, f"value {data.get('DeviceProcessDataDDI')} is no longer a control source")

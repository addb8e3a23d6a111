"""Devices lose the front of long structure labels, and control sources."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.phrases import phrase

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
            what = phrase("structure label is cut to its last {label_octets} bytes", label_octets=_LABEL_OCTETS)
            work.alter(device, what, phrase("version {target} allows no more", target=work.target))
        same = (short.upper(), (device.get("ClientNAME") or "").upper())
        if "".join(same) in cut and cut["".join(same)] != text:
            work.alter(
                device,
                phrase("{device} now has the same label as another device", device=label(device)),
                phrase("only the cut part told them apart"),
            )
        cut["".join(same)] = text
    for data in work.tagged("DPD"):
        bits = (data.get("DeviceProcessDataProperty") or "").strip()
        if bits.isascii() and bits.isdigit() and int(bits) & _CONTROL_SOURCE:
            data.set("DeviceProcessDataProperty", str(int(bits) & ~_CONTROL_SOURCE))
            work.alter(
                data,
                phrase(
                    "value {device_process_data_ddi} is no longer a control source",
                    device_process_data_ddi=data.get("DeviceProcessDataDDI"),
                ),
            )

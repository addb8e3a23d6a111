"""A small task data set on disk: machines, a connection, a field and a binary time log, written by hand."""

from __future__ import annotations

import struct
from datetime import datetime, timedelta
from pathlib import Path
from xml.etree import ElementTree

from taskdata.isoxml import facts

Element = ElementTree.Element
EPOCH = datetime(1980, 1, 1)


def el(tag: str, *children: Element, **values: object) -> Element:
    """An element with attributes by the names of the standard."""
    node = Element(tag, {facts.letter(tag, name): str(value) for name, value in values.items()})
    node.extend(children)
    return node


def device(number: int, parts: list[tuple[int, int, dict[int, int], list[int]]]) -> Element:
    """A device of parts: type, index of the part above (-1 for none), constants and process data by DDI."""
    node, objects, elements = el("DVC", DeviceId=f"DVC{number}", ClientNAME="A00C86000F623456"), [], []
    count = len(parts)
    for index, (kind, parent, constants, process) in enumerate(parts):
        references = []
        for ddi in [*constants, *process]:
            count += 1
            references.append(el("DOR", DeviceObjectId=count))
            if ddi in constants:
                values = {"DevicePropertyDDI": f"{ddi:04X}", "DevicePropertyValue": constants[ddi]}
                objects.append(el("DPT", DevicePropertyObjectId=count, **values))
            else:
                values = {"DeviceProcessDataDDI": f"{ddi:04X}", "DeviceProcessDataProperty": 0}
                more = {"DeviceProcessDataTriggerMethods": 8}
                objects.append(el("DPD", DeviceProcessDataObjectId=count, **values, **more))
        elements.append(
            el(
                "DET",
                *references,
                DeviceElementId=f"DET{100 * number + index}",
                DeviceElementObjectId=index + 1,
                DeviceElementType=kind,
                DeviceElementNumber=index,
                ParentObjectId=parent + 1,
            )
        )
    node.extend([*elements, *sorted(objects, key=lambda item: item.tag)])
    return node


def write(
    folder: Path,
    devices: list[Element],
    links: list[tuple[str, str, str, str]],
    channels: list[tuple[int, str]],
    records: list[tuple[float, float, float, dict[int, int]]],
) -> Path:
    """Write the set; records are seconds, longitude, latitude and raw values by channel."""
    folder.mkdir()
    connections = [
        el("CNN", DeviceIdRef_0=a, DeviceElementIdRef_0=b, DeviceIdRef_1=c, DeviceElementIdRef_1=d)
        for a, b, c, d in links
    ]
    blob = b"".join(_record(*record) for record in records)
    (folder / "TLG00001.BIN").write_bytes(blob)
    values = [
        el("DLV", ProcessDataDDI=f"{ddi:04X}", ProcessDataValue="", DeviceElementIdRef=part) for ddi, part in channels
    ]
    position = el("PTN", PositionNorth="", PositionEast="", PositionStatus="")
    _write(folder / "TLG00001.XML", el("TIM", position, *values, Start="", Type=4))
    log = el("TLG", Filename="TLG00001", Filelength=len(blob), TimeLogType=1)
    task = el("TSK", *connections, log, TaskId="TSK1", TaskDesignator="Kreis", TaskStatus=4)
    root = el("ISO11783_TaskData", *devices, task)
    root.attrib |= {"VersionMajor": "4", "VersionMinor": "3", "DataTransferOrigin": "2"}
    _write(folder / "TASKDATA.XML", root)
    return folder


def _record(seconds: float, lon: float, lat: float, values: dict[int, int]) -> bytes:
    moment = datetime(2024, 4, 18, 7) + timedelta(seconds=seconds) - EPOCH
    head = struct.pack(
        "<IHiiBB", moment.seconds * 1000, moment.days, round(lat * 1e7), round(lon * 1e7), 4, len(values)
    )
    return head + b"".join(struct.pack("<Bi", index, value) for index, value in values.items())


def _write(path: Path, node: Element) -> None:
    path.write_bytes(ElementTree.tostring(node, encoding="utf-8", xml_declaration=True))

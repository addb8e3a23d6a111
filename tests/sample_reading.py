"""Read the sample sets with nothing but the standard library and the fact tables."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from taskdata.isoxml import facts

Element = ElementTree.Element
CODES = {"<u1": "B", "<u2": "H", "<u4": "I", "<i4": "i"}
Records = list[tuple[dict[str, int], dict[int, int]]]


def parse(path: Path) -> Element:
    """Return the root of a file."""
    return ElementTree.parse(path).getroot()  # noqa: S314 - the samples are our own files


def document(folder: Path) -> list[Element]:
    """Return the top-level elements of the main file and its external files."""
    main = parse(folder / "TASKDATA.XML")
    nodes = list(main)
    for node in main.findall("XFR"):
        nodes += list(parse(folder / f"{get(node, 'Filename')}.XML"))
    return nodes


def get(node: Element, name: str) -> str | None:
    """Return an attribute by its name."""
    return node.get(facts.letter(node.tag, name))


def version(folder: Path) -> int:
    """Return the major version of a set."""
    return int(parse(folder / "TASKDATA.XML").attrib["VersionMajor"])


def elements(folder: Path) -> Iterator[tuple[Element, Element]]:
    """Yield parent and child of everything in the set as if it were one file."""
    root = Element(facts.ROOT)
    root.extend(document(folder))
    for parent in root.iter():
        yield from ((parent, child) for child in parent)


def get_id(node: Element) -> str | None:
    """Return the id of an element."""
    letter = facts.elements()[node.tag].id_letter
    return node.get(letter) if letter else None


def read_log(folder: Path, name: str) -> tuple[Records, Element]:
    """Read a time log by the table of binary fields; fail unless it ends with a whole record."""
    header = parse(folder / f"{name}.XML")
    position = header.find("PTN")
    assert position is not None
    sources = {
        f"{node.tag}.{letter}" for node in (header, position) for letter, value in node.attrib.items() if not value
    }
    fields = [f for f in facts.binary_fields("TLG")[:11] if f.source in sources or f.name == "TimeStartDate"]
    layout = "<" + "".join(CODES[f.dtype] for f in fields)
    data = (folder / f"{name}.BIN").read_bytes()
    records: Records = []
    place = 0
    while place < len(data):
        raw = dict(zip([f.name for f in fields], struct.unpack_from(layout, data, place), strict=True))
        place += struct.calcsize(layout)
        count = data[place]
        pairs = [struct.unpack_from("<Bi", data, place + 1 + 5 * i) for i in range(count)]
        place += 1 + 5 * count
        assert len({index for index, _ in pairs}) == count
        records.append((raw, dict(pairs)))
    assert place == len(data)
    return records, header


def places(line: Element, folder: Path) -> list[tuple[float, float]]:
    """Return latitude and longitude of every point of a line, from its binary file where it has one."""
    points = line.findall("PNT")
    name = get(points[0], "Filename")
    if name is None:
        return [(float(str(get(node, "PointNorth"))), float(str(get(node, "PointEast")))) for node in points]
    layout = "<qqi" if get(points[0], "PointUp") == "" else "<qq"
    return [(raw[0] / 1e16, raw[1] / 1e16) for raw in struct.iter_unpack(layout, (folder / f"{name}.BIN").read_bytes())]

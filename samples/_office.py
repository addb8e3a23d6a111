"""The set the office sends out, and its link list."""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path

from _coding import crops, groups, liquid_products, people, plain_products, words
from _devices import devices
from _fields import base_station, far_fields, near_fields
from _tasks import tasks
from _xml import Element, el, value, write

GLN = "9521234000006"
"""A number of the range that is set aside for demonstrations."""
LISTED = (
    "CTR1",
    "FRM1",
    "WKR1",
    "WKR2",
    "PFD1",
    "PFD2",
    "PFD3",
    "PFD4",
    "PFD5",
    "PDT1",
    "PDT5",
    "PLN1",
    "GGP1",
    "GPN1",
    "GPN3",
    "LSG1",
    "PNT3",
    "DVC1",
    "DVC2",
    "DVC3",
    "TSK1",
    "TSK2",
    "TSK3",
    "CTP1",
    "CVT1",
)
NOTE = "Schlüssel zum Teich hängt in der Scheune. Invented note, kept for the machine.\n"


def root(origin: int, *children: Element, **more: object) -> Element:
    """Return the root of a version 4.3 set."""
    return el(
        "ISO11783_TaskData",
        *children,
        VersionMajor=4,
        VersionMinor=3,
        ManagementSoftwareManufacturer="Hof Ahrenbrook, Büro",
        ManagementSoftwareVersion="1.0 (samples)",
        DataTransferOrigin=origin,
        DataTransferLanguage="de",
        **more,
    )


def links(*more: Element, **origin: object) -> Element:
    """Return the link groups of the office, followed by ``more``; ``origin`` says who wrote the list."""
    uuids = [el("LNK", ObjectIdRef=item, LinkValue=uuid(number)) for number, item in enumerate(LISTED)]
    return el(
        "ISO11783LinkList",
        el("LGP", *uuids, LinkGroupId="LGP1", LinkGroupType=1, LinkGroupDesignator="Kennungen"),
        el(
            "LGP",
            el("LNK", ObjectIdRef="PFD1", LinkValue="schlag/17"),
            LinkGroupId="LGP2",
            LinkGroupType=2,
            ManufacturerGLN=GLN,
        ),
        el(
            "LGP",
            el("LNK", ObjectIdRef="PDT5", LinkValue="0417-2", LinkDesignator="Mischung"),
            LinkGroupId="LGP3",
            LinkGroupType=3,
            LinkGroupNamespace="urn:example:lindhollen:",
        ),
        el(
            "LGP",
            el("LNK", ObjectIdRef="PDT3", LinkValue="kornblick.html"),
            LinkGroupId="LGP4",
            LinkGroupType=4,
            LinkGroupNamespace="https://ahrenbrook.example/",
            LinkGroupDesignator="Merkblatt",
        ),
        *more,
        VersionMajor=4,
        VersionMinor=3,
        ManagementSoftwareManufacturer="Hof Ahrenbrook, Büro",
        ManagementSoftwareVersion="1.0 (samples)",
        FileVersion="1",
        **(origin or {"DataTransferOrigin": 1}),
    )


def uuid(number: int) -> str:
    """Return a UUID of version 4 that is the same every time."""
    digits = f"{random.Random(f'lindhollen {number}').getrandbits(128):032x}"  # noqa: S311 - must repeat
    variant = "89ab"[int(digits[16], 16) % 4]
    return f"{digits[:8]}-{digits[8:12]}-4{digits[13:16]}-{variant}{digits[17:20]}-{digits[20:]}"


def attached_links(folder: Path, link_list: Element) -> Element:
    """Write the link list into ``folder`` and return the element that names it."""
    return el(
        "AFE",
        FilenameWithExtension="LINKLIST.XML",
        Preserve=2,
        ManufacturerGLN="",
        FileType=1,
        FileVersion="1",
        FileLength=write(folder / "LINKLIST.XML", link_list),
    )


def attached_note(folder: Path) -> Element:
    """Write a note of the farm into ``folder`` and return the element that names it."""
    note = NOTE.encode()
    (folder / "NOTES001.TXT").write_bytes(note)
    return el(
        "AFE", FilenameWithExtension="NOTES001.TXT", Preserve=1, ManufacturerGLN=GLN, FileType=200, FileLength=len(note)
    )


def coding_data() -> list[Element]:
    """Return what both the office and the machine carry in the main file."""
    return [base_station(), *words(), *crops(), *people(), *groups(), *plain_products(), *devices()]


def external(folder: Path, name: str, nodes: Sequence[Element]) -> Element:
    """Write ``nodes`` as an external file and return the element that names it."""
    write(folder / f"{name}.XML", el("XFC", *nodes))
    return el("XFR", Filename=name, Filetype=1)


def mark(fields: Sequence[Element]) -> None:
    """Add the farm's own proprietary attribute and element to the first field."""
    fields[0].set("P123_Soil", "Löss über Ton")
    own = Element("P123_Sample", {"A": "pH 6.4", "B": "2023-10-02"})
    fields[0].append(own)


def make_office(folder: Path) -> None:
    """Write the set of the office."""
    folder.mkdir(parents=True)
    near = near_fields(folder)
    mark(near)
    references = [external(folder, "PFD00001", far_fields(folder)), external(folder, "PDT00001", liquid_products())]
    data = [attached_links(folder, links()), attached_note(folder), *coding_data(), *near, *tasks(folder), *references]
    write(folder / "TASKDATA.XML", root(1, *data))


def by_id(nodes: Sequence[Element], tag: str, name: str, wanted: str) -> Element:
    """Return the element of ``nodes`` whose attribute ``name`` is ``wanted``."""
    return next(node for node in nodes if node.tag == tag and value(node, name) == wanted)

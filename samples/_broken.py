"""A set full of faults, each one listed in FAULTS.md with its rule and place."""

from __future__ import annotations

from pathlib import Path

from _logs import EVERYTHING, Channel, Log
from _place import area, cell_size, decimal, degrees
from _shapes import line, point, polygon, ring
from _xml import Element, change, el, text, write

SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
BOW_TIE = [(200.0, 0.0), (300.0, 100.0), (300.0, 0.0), (200.0, 100.0)]
SHIFTED_HOLE = [(80.0, 40.0), (120.0, 40.0), (120.0, 60.0), (80.0, 60.0)]
FAULTS = [
    ("R-037", "TASKDATA.XML", "second CTR, A", "id CTR1 is used twice"),
    ("R-006", "TASKDATA.XML", "FRM1, B", "name of 40 characters, 32 are allowed"),
    ("R-038", "TASKDATA.XML", "WKR007, A", "leading zeros in the id"),
    ("R-039", "TASKDATA.XML", "WKR0, A", "the number 0 is reserved"),
    ("R-006", "TASKDATA.XML", "PDT1, B", "required name is missing"),
    ("R-044", "TASKDATA.XML", "PDT1, C", "refers to FRM1, a farm, where a product group belongs"),
    ("R-006", "TASKDATA.XML", "BSN1, C", "latitude 95.5 is out of range"),
    ("R-043", "TASKDATA.XML", "PFD1, E", "refers to CTR9, which does not exist"),
    ("R-049", "TASKDATA.XML", "PFD1, Q", "unknown attribute"),
    ("R-049", "TASKDATA.XML", "XYZ below the root", "unknown element"),
    ("R-008", "TASKDATA.XML", "PFD1, c", "attribute in lower case"),
    ("R-007", "TASKDATA.XML", "PFD1", "text inside an element"),
    ("R-167", "TASKDATA.XML", "PFD2, first PLN, first LSG", "ring does not repeat its first point"),
    ("R-174", "TASKDATA.XML", "PFD3, first PLN, first LSG", "ring crosses itself"),
    ("R-173", "TASKDATA.XML", "PFD1, first PLN, second LSG", "hole crosses the outer ring"),
    ("R-182", "TASKDATA.XML", "GPN1", "AB line with only one point"),
    ("R-081", "TASKDATA.XML", "PFD2, second PLN, A", "treatment zone polygon inside a field"),
    ("R-093", "TASKDATA.XML", "DET2, F", "names parent object 77, which does not exist"),
    ("R-095", "TASKDATA.XML", "DET1, DOR, A", "names object 88, which does not exist"),
    ("R-022", "TASKDATA.XML", "root, TaskControllerManufacturer", "set of the office names a task controller"),
    ("R-148", "TASKDATA.XML", "TSK1, second TZN, A", "zone code 1 is used twice"),
    ("R-111", "TASKDATA.XML", "TSK1, H", "default zone 9 does not exist"),
    ("R-117", "TASKDATA.XML", "TSK1, CAN", "coded and free comment in one"),
    ("R-054", "TASKDATA.XML", "TSK1, TIM, A", "no such month and day"),
    ("R-006", "TASKDATA.XML", "TSK2, G", "task status 9 does not exist"),
    ("R-117", "TASKDATA.XML", "TSK2, CAN", "neither coded nor free comment"),
    ("R-017", "GRD00001.BIN", "TSK1, GRD, H", "stated length 80, the file has 79 bytes"),
    ("R-159", "GRD00001.BIN", "TSK1, GRD", "10 columns and 8 rows need 80 bytes, the file has 79"),
    ("R-161", "GRD00001.BIN", "cell 13", "code 200 is no zone of the task"),
    ("R-200", "TLG00001.BIN", "last record", "cut after 11 bytes"),
    ("R-198", "TLG00001.BIN", "record 20, counted from 0", "value number 7, the header has 2"),
    ("R-202", "TLG00001.BIN", "record 10, counted from 0", "position status 11 is reserved"),
    ("R-011", "TLG00002", "TSK2, TLG, A", "neither header nor records exist"),
    ("R-011", "CTP00001.XML", "XFR CTP00001", "external file is missing"),
    ("R-016", "pfd00001.xml", "XFR PFD00001", "file name in lower case"),
    ("R-005", "PGP00001.XML", "first bytes", "byte order mark"),
    ("R-031", "PGP00001.XML", "XFC", "children of two kinds, PGP and WKR"),
    ("R-006", "VPN00001.XML", "end of file", "the file breaks off inside a tag"),
    ("R-012", "SCRATCH.TXT", "the file", "nothing refers to it"),
]


def make_broken(folder: Path) -> None:
    """Write the set and the list of its faults."""
    folder.mkdir(parents=True)
    _external(folder)
    root = el(
        "ISO11783_TaskData",
        el(
            "BSN",
            BaseStationId="BSN1",
            BaseStationDesignator="Scheune",
            BaseStationNorth="95.5",
            BaseStationEast="7.0",
            BaseStationUp=50_000,
        ),
        el("CTR", CustomerId="CTR1", CustomerLastName="Söderhöft-Ährenbrook"),
        el("CTR", CustomerId="CTR1", CustomerLastName="Müllerin & Söhne"),
        el("FRM", FarmId="FRM1", FarmDesignator="Hof Ahrenbrook im Lindholler Tal am Bach", CustomerIdRef="CTR1"),
        el("WKR", WorkerId="WKR007", WorkerLastName="Quendelhain"),
        el("WKR", WorkerId="WKR0", WorkerLastName="O'Tannendahl"),
        _nameless_product(),
        _device(),
        *_fields(),
        *_tasks(folder),
        Element("XYZ", {"A": "1"}),
        *(el("XFR", Filename=name, Filetype=1) for name in ("PFD00001", "PGP00001", "VPN00001", "CTP00001")),
        VersionMajor=4,
        VersionMinor=3,
        ManagementSoftwareManufacturer="Hof Ahrenbrook, Büro",
        ManagementSoftwareVersion="1.0 (samples)",
        TaskControllerManufacturer="Schlepperwerk Unterlindhollen",
        DataTransferOrigin=1,
    )
    write(folder / "TASKDATA.XML", root)
    (folder / "SCRATCH.TXT").write_bytes(b"left behind by an editor\n")
    (folder.parent / "FAULTS.md").write_text(_listing(), encoding="utf-8", newline="\n")


def _nameless_product() -> Element:
    node = el("PDT", ProductId="PDT1", ProductDesignator="", ProductGroupIdRef="FRM1")
    change(node, ProductDesignator=None)
    return node


def _device() -> Element:
    root = _part(1, 1, 0)
    root.append(el("DOR", DeviceObjectId=88))
    lost = _part(2, 2, 77)
    lost.extend([el("DOR", DeviceObjectId=3), el("DOR", DeviceObjectId=4)])
    return el(
        "DVC",
        root,
        lost,
        _data(3, 141, 0),
        _data(4, 1, 2),
        DeviceId="DVC1",
        ClientNAME="A00C86000F623456",
        DeviceStructureLabel="01020304050607",
        DeviceLocalizationLabel="FF000000006564",
    )


def _part(number: int, kind: int, parent: int) -> Element:
    return el(
        "DET",
        DeviceElementId=f"DET{number}",
        DeviceElementObjectId=number,
        DeviceElementType=kind,
        DeviceElementNumber=number - 1,
        ParentObjectId=parent,
    )


def _data(number: int, ddi: int, kind: int) -> Element:
    return el(
        "DPD",
        DeviceProcessDataObjectId=number,
        DeviceProcessDataDDI=f"{ddi:04X}",
        DeviceProcessDataProperty=kind,
        DeviceProcessDataTriggerMethods=8,
    )


def _fields() -> list[Element]:
    size = round(area(SQUARE))
    pattern = el("GPN", line(5, [(10.0, 10.0)], point_kinds=[6]), GuidancePatternId="GPN1", GuidancePatternType=1)
    first = el(
        "PFD",
        polygon(1, SQUARE, (SHIFTED_HOLE,)),
        el("GGP", pattern, GuidanceGroupId="GGP1"),
        PartfieldId="PFD1",
        PartfieldDesignator="Große Breite",
        PartfieldArea=size,
        CustomerIdRef="CTR9",
    )
    first.set("Q", "17")
    first.set("c", "grosse breite")
    first.text = "Hier stand etwas"
    open_ring = el("PLN", ring(SQUARE, closed=False), PolygonType=1)
    second = el(
        "PFD",
        open_ring,
        polygon(2, [(10.0, 10.0), (20.0, 10.0), (20.0, 20.0)]),
        PartfieldId="PFD2",
        PartfieldDesignator="Kuhle",
        PartfieldArea=size,
    )
    third = el(
        "PFD",
        el("PLN", ring(BOW_TIE), PolygonType=1),
        point(1, (250.0, 20.0), "Schleife"),
        PartfieldId="PFD3",
        PartfieldDesignator="Schleife",
        PartfieldArea=5000,
    )
    return [first, second, third]


def _tasks(folder: Path) -> list[Element]:
    zones = [
        el(
            "TZN",
            el("PDV", ProcessDataDDI="0001", ProcessDataValue=rate, DeviceElementIdRef="DET2"),
            TreatmentZoneCode=code,
        )
        for code, rate in ((1, 1_000_000), (1, 2_000_000), (2, 3_000_000))
    ]
    first = el(
        "TSK",
        *zones,
        el("TIM", Start="2024-13-40T07:00:00+02:00", Type=1),
        el("CAN", CodedCommentIdRef="CCT1", FreeCommentText="beides"),
        _log(folder),
        _grid(folder),
        TaskId="TSK1",
        TaskDesignator="Spritzen",
        FarmIdRef="FRM1",
        PartfieldIdRef="PFD1",
        TaskStatus=4,
        DefaultTreatmentZoneCode=9,
    )
    second = el(
        "TSK", el("CAN"), el("TLG", Filename="TLG00002", Filelength=100, TimeLogType=1), TaskId="TSK2", TaskStatus=9
    )
    comment = el("CCT", CodedCommentId="CCT1", CodedCommentDesignator="Hindernis", CodedCommentScope=1)
    return [comment, first, second]


def _grid(folder: Path) -> Element:
    codes = bytearray([1, 2] * 40)
    codes[13] = 200
    (folder / "GRD00001.BIN").write_bytes(codes[:79])
    south, west = degrees(0.0, 0.0)
    north_size, east_size = cell_size(10.0, 0.0)
    return el(
        "GRD",
        GridMinimumNorthPosition=decimal(south),
        GridMinimumEastPosition=decimal(west),
        GridCellNorthSize=decimal(north_size),
        GridCellEastSize=decimal(east_size),
        GridMaximumColumn=10,
        GridMaximumRow=8,
        Filename="GRD00001",
        Filelength=80,
        GridType=1,
    )


def _log(folder: Path) -> Element:
    log = Log([Channel(141, "DET2"), Channel(1, "DET2")], EVERYTHING)
    for second in range(60):
        north, east = degrees(10.0 + 1.2 * second, 12.0)
        raw: dict[str, int | None] = {
            "TimeStartTimeOfDay": 25_200_000 + 1000 * second,
            "TimeStartDate": 16_179,
            "PositionNorth": round(north * 1e7),
            "PositionEast": round(east * 1e7),
            "PositionUp": 41_500,
            "PositionStatus": 11 if second == 10 else 4,
            "PDOP": 15,
            "HDOP": 9,
            "NumberOfSatellites": 18,
            "GpsUtcTime": 18_000_000 + 1000 * second,
            "GpsUtcDate": 16_179,
        }
        log.add(raw, {7: 1, 0: 1} if second == 20 else {0: second % 2, 1: 1_000_000 + 10_000 * (second // 5)})
    short = Log(log.channels, EVERYTHING)
    short.data = log.data + log.data[:11]
    return short.write(folder, "TLG00001")


def _external(folder: Path) -> None:
    (folder / "pfd00001.xml").write_bytes(
        text(
            el(
                "XFC",
                el(
                    "PFD",
                    polygon(1, [(400.0, 0.0), (500.0, 0.0), (500.0, 50.0)]),
                    PartfieldId="PFD4",
                    PartfieldDesignator="Zipfel",
                    PartfieldArea=2500,
                ),
            )
        ).encode()
    )
    mixed = el(
        "XFC",
        el("PGP", ProductGroupId="PGP1", ProductGroupDesignator="Dünger"),
        el("WKR", WorkerId="WKR5", WorkerLastName="Söderhöft"),
    )
    (folder / "PGP00001.XML").write_bytes(b"\xef\xbb\xbf" + text(mixed).encode())
    whole = text(
        el(
            "XFC",
            el("VPN", ValuePresentationId="VPN1", Offset=0, Scale="0.01", NumberOfDecimals=1, UnitDesignator="kg/ha"),
            el("VPN", ValuePresentationId="VPN2", Offset=0, Scale="0.001", NumberOfDecimals=1),
        )
    )
    (folder / "VPN00001.XML").write_bytes(whole[: whole.index("VPN2") + 10].encode())


def _listing() -> str:
    rows = [f"| {rule} | {file} | {place} | {what} |" for rule, file, place, what in FAULTS]
    head = [
        "# What is wrong in this set",
        "",
        "Each fault was put there on purpose; some bring others with them. `schemas/rules.md` says at its end what the",
        "numbers stand for.",
        "",
        "| Rule | File | Place | What |",
        "| --- | --- | --- | --- |",
    ]
    return "\n".join([*head, *rows]) + "\n"

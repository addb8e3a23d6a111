"""A version 3.3 set of another maker: open rings, one polygon of several parts, plain guidance lines, tabs and CRLF."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from _devices import BIN, CHANGE, CONNECTOR, DEFAULT_SET, DEVICE, FUNCTION, SETTABLE, TIME, TOTAL, Machine, object_id
from _drive import Pace, Track, up_and_down
from _fields import BROAD, HOLLOW, NARROW, POND, TIP
from _logs import Channel, Log, Receiver
from _place import Ring, area, cell_size, decimal, degrees, inset
from _shapes import line, point, ring
from _work import Tool, Work
from _xml import DECLARATION, Element, el, text

SPREADER_NAME = "A00A800046F00111"
BOOM, POTASH, LIME, ROOT_PART = "DET4103", "DET4104", "DET4105", "DET4101"
START = datetime(2019, 3, 21, 9, 40, 15)
OWNER = {"CustomerIdRef": "CTR41", "FarmIdRef": "FRM41"}
ISLAND = [(700.0, 130.0), (720.0, 132.0), (718.0, 150.0)]


def spreader() -> Element:
    """Return an 18 m spreader with two hoppers."""
    m = Machine(
        41,
        DeviceDesignator="Streuer 18 m",
        DeviceSoftwareVersion="0.8",
        ClientNAME=SPREADER_NAME,
        DeviceStructureLabel="31323334353637",
    )
    mm, rate = m.shown("1", 0, "mm"), m.shown("0.01", 0, "kg/ha")
    root = m.part(DEVICE, "Streuer", 0)
    m.totals(root)
    hitch = m.part(CONNECTOR, "Deichsel", 1, object_id(root))
    m.place(hitch, mm, 2500, 0, 0)
    m.fixed(hitch, 157, 1, "Anschlussart")
    boom = m.part(FUNCTION, "Streuwerk", 2, object_id(root))
    m.place(boom, mm, -1500, 0, 0)
    m.fixed(boom, 70, 18_000, "Breite", mm)
    m.process(boom, 141, DEFAULT_SET, CHANGE, "Arbeitszustand")
    for number, name in ((3, "Kali"), (4, "Kalk")):
        hopper = m.part(BIN, name, number, object_id(boom))
        m.process(hopper, 6, SETTABLE, CHANGE, "Soll", shown=rate)
        m.process(hopper, 7, DEFAULT_SET, TIME | CHANGE, "Ist", shown=rate)
        m.process(hopper, 81, SETTABLE, TOTAL, "Summe")
    return m.build()


def open_polygon(kind: int, *rings: tuple[Ring, bool]) -> Element:
    """Return a PLN of rings without repeated first point; each ring comes with whether it is a hole."""
    size = sum(-area(places) if hole else area(places) for places, hole in rings)
    return el(
        "PLN", *(ring(places, hole, closed=False) for places, hole in rings), PolygonType=kind, PolygonArea=round(size)
    )


def fields() -> list[Element]:
    """Return the fields as that maker keeps them."""
    parts = open_polygon(1, (HOLLOW, False), (POND, True), (ISLAND, True), (NARROW, False))
    size = round(area(HOLLOW) - area(POND) - area(ISLAND) + area(NARROW))
    lines = [
        line(5, [(20.0, 36.0), (400.0, 46.6)], "AB S", LineStringWidth=18_000),
        line(
            5,
            [(20.0, 250.0), (100.0, 256.0), (200.0, 251.0), (300.0, 259.0), (395.0, 262.0)],
            "Contour",
            LineStringWidth=18_000,
        ),
    ]
    return [
        el(
            "PFD",
            open_polygon(1, (BROAD, False)),
            *lines,
            point(2, (2.0, 2.0), "Zufahrt"),
            point(1, (300.0, 100.0)),
            PartfieldId="PFD4711",
            PartfieldDesignator="GROSSE BREITE",
            PartfieldArea=round(area(BROAD)),
            CropTypeIdRef="CTP41",
            **OWNER,
        ),
        el("PFD", parts, PartfieldId="PFD4712", PartfieldDesignator="KUHLE+SCHMALE", PartfieldArea=size, **OWNER),
        el(
            "PFD",
            open_polygon(1, (TIP, False)),
            PartfieldId="PFD4713",
            PartfieldDesignator="OSTZIPFEL",
            PartfieldArea=round(area(TIP)),
            FieldIdRef="PFD4711",
            **OWNER,
        ),
    ]


def logged(folder: Path) -> list[Element]:
    """Drive over the tip of the broad field and return the TIM and TLG."""
    ground = inset(TIP, 3.0)
    track = Track(Pace(3.3, 2.5, 1.8), (305.0, 35.0))
    up_and_down(track, ground, 18.0, 4.5)
    work = Work(Tool(4.5, (18.0,)), TIP, ground, doses=[lambda _: 12_000, lambda _: 5_000], per_m2=1e-6, seed="older")
    log = Log(
        [Channel(141, BOOM), Channel(7, POTASH), Channel(7, LIME)], ("PositionNorth", "PositionEast", "PositionStatus")
    )
    receiver = Receiver("older", START)
    for state in work.states(track.fixes(1)):
        log.add(
            receiver.raw(state.fix.time, state.fix.east, state.fix.north),
            {0: int(any(state.on)), 1: state.real[0], 2: state.real[1]},
        )
        last = state
    sums = [
        (116, last.area, ROOT_PART),
        (119, last.time, ROOT_PART),
        (81, int(last.amounts[0]), POTASH),
        (81, int(last.amounts[1]), LIME),
    ]
    values = [
        el("DLV", ProcessDataDDI=f"{ddi:04X}", ProcessDataValue=number, DeviceElementIdRef=part)
        for ddi, number, part in sums
    ]
    return [
        el("TIM", Start="2019-03-21T09:10:00", Stop="2019-03-21T09:40:15", Type=3),
        el("TIM", *values, Start="2019-03-21T09:40:15", Duration=int(last.fix.time) + 1, Type=4),
        log.write(folder, "TLG00001"),
    ]


def grid(folder: Path) -> Element:
    """Write a grid under a lower-case name and return its GRD."""
    columns, rows = 12, 9
    codes = bytes(1 + (column + row) % 2 for row in range(rows) for column in range(columns))
    (folder / "grd00001.bin").write_bytes(codes)
    south, west = degrees(515.0, -25.0)
    north_size, east_size = cell_size(32.0, -25.0)
    return el(
        "GRD",
        GridMinimumNorthPosition=decimal(south),
        GridMinimumEastPosition=decimal(west),
        GridCellNorthSize=decimal(north_size),
        GridCellEastSize=decimal(east_size),
        GridMaximumColumn=columns,
        GridMaximumRow=rows,
        Filename="GRD00001",
        Filelength=len(codes),
        GridType=1,
    )


def zone(code: int, shape: Ring | None, potash: int, lime: int) -> Element:
    """Return a TZN that sets both hoppers."""
    return el(
        "TZN",
        open_polygon(2, (shape, False)) if shape else None,
        el("PDV", ProcessDataDDI="0006", ProcessDataValue=potash, ProductIdRef="PDT41", DeviceElementIdRef=POTASH),
        el("PDV", ProcessDataDDI="0006", ProcessDataValue=lime, ProductIdRef="PDT42", DeviceElementIdRef=LIME),
        TreatmentZoneCode=code,
    )


def make_older(folder: Path) -> None:
    """Write the set."""
    folder.mkdir(parents=True)
    root = el(
        "ISO11783_TaskData",
        *_small_things(),
        spreader(),
        *fields(),
        _done(folder),
        _planned(folder),
        VersionMajor=3,
        VersionMinor=3,
        ManagementSoftwareManufacturer="Büro Unterlindhollen",
        ManagementSoftwareVersion="0.9",
        TaskControllerManufacturer="Bordrechner Unterlindhollen",
        TaskControllerVersion="1.1",
        DataTransferOrigin=2,
    )
    for node in root.iter():
        node.attrib = dict(reversed(node.attrib.items()))
    body = text(root, "\t").replace(DECLARATION, DECLARATION + "<!-- Bordrechner Unterlindhollen 2019 -->\n")
    (folder / "TASKDATA.XML").write_bytes(body.replace("\n", "\r\n").encode())


def _small_things() -> list[Element]:
    variety = el("CVT", CropVarietyId="CVT41", CropVarietyDesignator="Lindhollen Gold")
    solid = {"ProductGroupIdRef": "PGP41", "QuantityDDI": "004B"}
    return [
        el("CTR", CustomerId="CTR41", CustomerLastName="Söderhöft"),
        el("FRM", FarmId="FRM41", FarmDesignator="Ahrenbrook", CustomerIdRef="CTR41"),
        el("WKR", WorkerId="WKR41", WorkerLastName="O'Tannendahl"),
        el("CTP", variety, CropTypeId="CTP41", CropTypeDesignator="Weizen"),
        el("PGP", ProductGroupId="PGP41", ProductGroupDesignator="Dünger"),
        el("PDT", ProductId="PDT41", ProductDesignator="Kali 40", **solid),
        el("PDT", ProductId="PDT42", ProductDesignator="Kalk", **solid),
    ]


def _done(folder: Path) -> Element:
    west = [(310.0, 40.0), (350.0, 41.0), (350.0, 270.0), (310.0, 268.0)]
    east = [(352.0, 41.0), (390.0, 42.0), (388.0, 272.0), (352.0, 270.0)]
    return el(
        "TSK",
        zone(1, west, 12_000, 5_000),
        zone(2, east, 16_000, 8_000),
        zone(0, None, 0, 0),
        *logged(folder),
        el("DAN", ClientNAMEValue=SPREADER_NAME, DeviceIdRef="DVC41"),
        TaskId="TSK901",
        TaskDesignator="STREUEN OSTZIPFEL",
        **OWNER,
        PartfieldIdRef="PFD4713",
        TaskStatus=4,
        OutOfFieldTreatmentZoneCode=0,
    )


def _planned(folder: Path) -> Element:
    return el(
        "TSK",
        zone(1, None, 9_000, 3_000),
        zone(2, None, 11_000, 4_000),
        el("DAN", ClientNAMEValue=SPREADER_NAME, DeviceIdRef="DVC41"),
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        grid(folder),
        TaskId="TSK902",
        TaskDesignator="STREUEN KUHLE",
        **OWNER,
        PartfieldIdRef="PFD4712",
        TaskStatus=1,
    )

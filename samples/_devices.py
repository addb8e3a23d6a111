"""The machines: a tractor, a 24 m sprayer of nine sections and a 3 m drill, with full descriptions."""

from __future__ import annotations

from _xml import Element, el, value

DEFAULT_SET, SETTABLE, SOURCE = 1, 2, 4
TIME, DISTANCE, THRESHOLD, CHANGE, TOTAL = 1, 2, 4, 8, 16
DEVICE, FUNCTION, BIN, SECTION, UNIT, CONNECTOR, NAVIGATION = 1, 2, 3, 4, 5, 6, 7
TRACTOR_NAME, SPRAYER_NAME, DRILL_NAME = "A0020000F6012345", "A00C86000F623456", "A00884000F634567"
SECTION_WIDTHS = (3000, 3000, 2500, 2500, 2000, 2500, 2500, 3000, 3000)
"""Widths of the sprayer's sections in mm, left to right."""
NAVIGATION_X, HITCH_X, BOOM_X, DRILL_X = 600, -1150, -1700, -1200
"""Places along the machine in mm, each from its own device reference point."""


class Machine:
    """Collect the objects of one device description; object ids are given in the order of the calls."""

    def __init__(self, number: int, **values: object) -> None:
        self.number = number
        self.values = values
        self.parts: dict[str, list[Element]] = {"DET": [], "DPD": [], "DPT": [], "DVP": []}
        self.objects = 0

    def part(self, kind: int, designator: str, number: int, parent: int = 0) -> Element:
        """Add a device element."""
        count = len(self.parts["DET"]) + 1
        node = el(
            "DET",
            DeviceElementId=f"DET{100 * self.number + count}",
            DeviceElementObjectId=self._object(),
            DeviceElementType=kind,
            DeviceElementDesignator=designator,
            DeviceElementNumber=number,
            ParentObjectId=parent,
        )
        self.parts["DET"].append(node)
        return node

    def shown(self, scale: str, decimals: int, unit: str) -> int:
        """Add a value presentation and return its object id."""
        number = self._object()
        self.parts["DVP"].append(
            el(
                "DVP",
                DeviceValuePresentationObjectId=number,
                Offset=0,
                Scale=scale,
                NumberOfDecimals=decimals,
                UnitDesignator=unit,
            )
        )
        return number

    def process(
        self, part: Element, ddi: int, kind: int, triggers: int, designator: str, *, shown: int | None = None
    ) -> None:
        """Add a process data object and refer to it from ``part``."""
        number = self._object()
        self.parts["DPD"].append(
            el(
                "DPD",
                DeviceProcessDataObjectId=number,
                DeviceProcessDataDDI=f"{ddi:04X}",
                DeviceProcessDataProperty=kind,
                DeviceProcessDataTriggerMethods=triggers,
                DeviceProcessDataDesignator=designator,
                DeviceValuePresentationObjectId=shown,
            )
        )
        part.append(el("DOR", DeviceObjectId=number))

    def fixed(self, part: Element, ddi: int, amount: int, designator: str, shown: int | None = None) -> None:
        """Add a property and refer to it from ``part``."""
        number = self._object()
        self.parts["DPT"].append(
            el(
                "DPT",
                DevicePropertyObjectId=number,
                DevicePropertyDDI=f"{ddi:04X}",
                DevicePropertyValue=amount,
                DevicePropertyDesignator=designator,
                DeviceValuePresentationObjectId=shown,
            )
        )
        part.append(el("DOR", DeviceObjectId=number))

    def place(self, part: Element, shown: int, x: int | None, y: int, z: int | None = None) -> None:
        """Give ``part`` its offsets in mm from the device reference point."""
        for ddi, offset, name in ((134, x, "Versatz x"), (135, y, "Versatz y"), (136, z, "Versatz z")):
            if offset is not None:
                self.fixed(part, ddi, offset, name, shown)

    def totals(self, part: Element) -> None:
        """Give ``part`` the task totals of area, distance and time, and the answer to a default request."""
        for ddi, name in (
            (116, "Fläche"),
            (117, "Strecke in Arbeit"),
            (118, "Strecke außer Arbeit"),
            (119, "Zeit in Arbeit"),
            (120, "Zeit außer Arbeit"),
        ):
            self.process(part, ddi, SETTABLE, TOTAL | TIME, name)
        self.process(part, 274, 0, TOTAL, "Betriebszeit gesamt")
        self.process(part, 0xDFFF, 0, 31, "Grunddaten")

    def build(self) -> Element:
        """Return the DVC."""
        children = [node for group in self.parts.values() for node in group]
        return el(
            "DVC", *children, DeviceId=f"DVC{self.number}", DeviceLocalizationLabel="FF000000006564", **self.values
        )

    def _object(self) -> int:
        self.objects += 1
        return self.objects


def object_id(part: Element) -> int:
    """Return the object id of a device element."""
    return int(value(part, "DeviceElementObjectId") or 0)


def tractor() -> Element:
    """Return the tractor: navigation reference, rear hitch and a plant sensor that can set a rate."""
    m = Machine(
        1,
        DeviceDesignator='Schlepper "Alte Dame"',
        DeviceSoftwareVersion="4.17",
        ClientNAME=TRACTOR_NAME,
        DeviceSerialNumber="LH-T-0007",
        DeviceStructureLabel="01020304050607",
    )
    mm = m.shown("1", 0, "mm")
    root = m.part(DEVICE, "Schlepper", 0)
    m.process(root, 397, DEFAULT_SET, TIME | CHANGE, "Geschwindigkeit", shown=m.shown("0.0036", 1, "km/h"))
    m.totals(root)
    navigation = m.part(NAVIGATION, "Antenne", 1, object_id(root))
    m.place(navigation, mm, NAVIGATION_X, 0, -2900)
    hitch = m.part(CONNECTOR, "Dreipunkt hinten", 2, object_id(root))
    m.place(hitch, mm, HITCH_X, 0, 120)
    m.fixed(hitch, 157, 2, "Anschlussart")
    sensor = m.part(UNIT, "Pflanzensensor", 3, object_id(root))
    m.place(sensor, mm, 3400, 0, -1000)
    m.process(sensor, 1, SOURCE, CHANGE, "Sollmenge vom Sensor", shown=m.shown("0.0001", 0, "L/ha"))
    return m.build()


def sprayer() -> Element:
    """Return the sprayer: boom with nine sections, rates and states on the boom, and a tank."""
    m = Machine(
        2,
        DeviceDesignator="Anbauspritze 24 m",
        DeviceSoftwareVersion="2.0.1",
        ClientNAME=SPRAYER_NAME,
        DeviceSerialNumber="LH-S-0024",
        DeviceStructureLabel="0A0B11121314151617",
    )
    mm, rate, litres = m.shown("1", 0, "mm"), m.shown("0.0001", 0, "L/ha"), m.shown("0.001", 1, "L")
    root = m.part(DEVICE, "Spritze", 0)
    m.totals(root)
    hitch = m.part(CONNECTOR, "Dreipunkt", 1, object_id(root))
    m.place(hitch, mm, 0, 0, 0)
    m.fixed(hitch, 157, 2, "Anschlussart")
    boom = m.part(FUNCTION, "Gestänge", 2, object_id(root))
    m.place(boom, mm, BOOM_X, 0, 0)
    m.fixed(boom, 70, sum(SECTION_WIDTHS), "Breite höchstens", mm)
    m.process(boom, 67, DEFAULT_SET, CHANGE, "Breite", shown=mm)
    m.process(boom, 1, SETTABLE, CHANGE | TIME, "Sollmenge", shown=rate)
    m.process(boom, 2, DEFAULT_SET, CHANGE | TIME, "Istmenge", shown=rate)
    m.process(boom, 80, SETTABLE, TOTAL | TIME, "Ausbringmenge")
    m.process(boom, 141, DEFAULT_SET, CHANGE, "Arbeitszustand")
    m.process(boom, 158, SETTABLE, CHANGE, "Karte ein")
    m.process(boom, 160, SETTABLE, CHANGE, "Teilbreiten selbsttätig")
    m.process(boom, 161, DEFAULT_SET, CHANGE | TIME, "Teilbreiten ist")
    m.process(boom, 290, SETTABLE, CHANGE, "Teilbreiten soll")
    m.fixed(boom, 205, 250, "Einschaltzeit")
    m.fixed(boom, 206, 300, "Ausschaltzeit")
    tank = m.part(BIN, "Tank", 3, object_id(boom))
    m.place(tank, mm, -800, 0, -1100)
    m.fixed(tank, 73, 1_600_000, "Inhalt höchstens", litres)
    m.process(tank, 72, DEFAULT_SET, CHANGE | TIME, "Inhalt", shown=litres)
    _sections(m, boom, mm)
    return m.build()


def _sections(m: Machine, boom: Element, mm: int) -> None:
    left = -sum(SECTION_WIDTHS) // 2
    for index, width in enumerate(SECTION_WIDTHS):
        section = m.part(SECTION, f"Teilbreite {index + 1}", 4 + index, object_id(boom))
        m.place(section, mm, None, left + width // 2)
        m.fixed(section, 67, width, "Breite", mm)
        left += width


def drill() -> Element:
    """Return the drill: a coulter bar of two halves, one bin for seed and one for fertilizer."""
    m = Machine(
        3,
        DeviceDesignator="Drille 3 m",
        DeviceSoftwareVersion="1.9",
        ClientNAME=DRILL_NAME,
        DeviceSerialNumber="LH-D-0003",
        DeviceStructureLabel="21222324252627",
    )
    mm, rate = m.shown("1", 0, "mm"), m.shown("0.01", 1, "kg/ha")
    root = m.part(DEVICE, "Drille", 0)
    m.totals(root)
    hitch = m.part(CONNECTOR, "Dreipunkt", 1, object_id(root))
    m.place(hitch, mm, 0, 0, 0)
    m.fixed(hitch, 157, 2, "Anschlussart")
    boom = m.part(FUNCTION, "Säschiene", 2, object_id(root))
    m.place(boom, mm, DRILL_X, 0, 0)
    m.fixed(boom, 70, 3000, "Breite höchstens", mm)
    m.fixed(boom, 68, 3000, "Breite üblich", mm)
    m.process(boom, 141, DEFAULT_SET, CHANGE, "Arbeitszustand")
    m.process(boom, 158, SETTABLE, CHANGE, "Karte ein")
    m.process(boom, 160, SETTABLE, CHANGE, "Teilbreiten selbsttätig")
    m.process(boom, 161, DEFAULT_SET, CHANGE, "Teilbreiten ist")
    m.process(boom, 290, SETTABLE, CHANGE, "Teilbreiten soll")
    for number, name, instance in ((3, "Saattank", 1), (4, "Düngertank", 2)):
        tank = m.part(BIN, name, number, object_id(boom))
        m.place(tank, mm, -300, 0, -900)
        m.fixed(tank, 178, instance, "Art")
        m.process(tank, 6, SETTABLE, CHANGE, "Sollmenge", shown=rate)
        m.process(tank, 7, DEFAULT_SET, CHANGE | TIME, "Istmenge", shown=rate)
        m.process(tank, 81, SETTABLE, TOTAL | TIME, "Ausbringmenge")
        m.process(tank, 75, 0, CHANGE | TIME, "Inhalt")
    for index in range(2):
        section = m.part(SECTION, ("links", "rechts")[index], 5 + index, object_id(boom))
        m.place(section, mm, DRILL_X, -750 + 1500 * index)
        m.fixed(section, 70, 1500, "Breite höchstens", mm)
    return m.build()


def devices() -> list[Element]:
    """Return all machines."""
    return [tractor(), sprayer(), drill()]

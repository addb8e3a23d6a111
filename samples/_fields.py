"""The five fields with everything that lies in and on them."""

from __future__ import annotations

import math
from pathlib import Path

from _place import HEIGHT, LATITUDE, LONGITUDE, Ring, area, bearing, decimal, inset, oval, wavy
from _shapes import line, point, polygon, stored_line
from _xml import Element, el

BROAD = [(0.0, 0.0), (430.0, 12.0), (418.0, 318.0), (-8.0, 300.0)]
HOLLOW = [(520.0, 0.0), (800.0, -20.0), (860.0, 150.0), (700.0, 260.0), (530.0, 200.0)]
POND = oval((680.0, 90.0), 24.0, 15.0)
NARROW = [(-300.0, 0.0), (-90.0, 5.0), (-95.0, 155.0), (-300.0, 150.0)]
NARROW_NORTH = [(-300.0, 180.0), (-100.0, 185.0), (-110.0, 260.0), (-290.0, 255.0)]
TIP = [(300.0, 30.0), (405.0, 33.0), (398.0, 290.0), (300.0, 285.0)]
BROOK = [(0.0, -420.0), (300.0, -430.0), (310.0, -130.0), (5.0, -120.0)]
HEDGE = [(-300.0, 175.0), (-100.0, 180.0), (-100.0, 183.0), (-300.0, 178.0)]
LANE = [(-300.0, 160.0), (-92.0, 165.0), (-92.0, 170.0), (-300.0, 165.0)]
WELL = (155.0, -275.0)
OWNER = {"CustomerIdRef": "CTR1", "FarmIdRef": "FRM1"}
MEASURED = {
    "GuidancePatternGNSSMethod": 4,
    "GuidancePatternHorizontalAccuracy": "0.025",
    "GuidancePatternVerticalAccuracy": "0.05",
    "BaseStationIdRef": "BSN1",
    "OriginalSRID": "EPSG:4326",
}
BROOK_NAME = "Am Lindholler Weg links vom Bach"
"""A name of exactly as many characters as the standard allows."""


def base_station() -> Element:
    """Return the correction station on the barn."""
    return el(
        "BSN",
        BaseStationId="BSN1",
        BaseStationDesignator="Scheune Ahrenbrook",
        BaseStationNorth=decimal(LATITUDE),
        BaseStationEast=decimal(LONGITUDE),
        BaseStationUp=HEIGHT + 9000,
    )


def near_fields(folder: Path) -> list[Element]:
    """Return the fields of the main file; ``folder`` takes a binary line."""
    return [_broad(), _hollow(folder), _tip()]


def far_fields(folder: Path) -> list[Element]:
    """Return the fields of the external file; ``folder`` takes a binary boundary."""
    return [_narrow(), _brook(folder)]


def _broad() -> Element:
    inner = inset(BROAD, 24.0)
    stone = oval((150.0, 210.0), 4.0, 4.0, 8)
    return el(
        "PFD",
        polygon(1, BROAD, PolygonId="PLN1"),
        polygon(9, inner, designator="Hauptfläche", PolygonId="PLN2", PolygonColour=10),
        polygon(10, BROAD, (inner,), "Vorgewende", PolygonId="PLN3"),
        polygon(
            11, [BROAD[3], (-7.8, 292.5), (418.3, 310.5), BROAD[2]], designator="Gewässerabstand", PolygonId="PLN4"
        ),
        polygon(6, stone, designator="Findling", PolygonId="PLN5", PolygonColour=1),
        line(3, [(12.0, 12.0), (415.0, 24.0)], "Fahrgasse 1", LineStringWidth=24_000, LineStringId="LSG1"),
        line(4, [(40.0, 40.0), (200.0, 150.0), (380.0, 60.0)], "Probenweg", LineStringId="LSG2"),
        line(9, [(60.0, 295.0), (120.0, 290.0)], "Böschung", LineStringColour=1, LineStringId="LSG3"),
        point(3, (2.0, 2.0), "Zufahrt", PointId="PNT1", PointColour=2),
        point(1, (300.0, 100.0), "Vernässt nach Regen", PointId="PNT2"),
        point(
            5,
            (150.0, 210.0),
            "Findling",
            PointId="PNT3",
            PointHorizontalAccuracy="0.025",
            PointVerticalAccuracy="0.04",
            PointUp=HEIGHT + 700,
        ),
        point(10, (-8.0, 300.0), "Grenzstein", PointId="PNT4"),
        _broad_lines(inner),
        PartfieldId="PFD1",
        PartfieldCode="GB/01",
        PartfieldDesignator="Große Breite",
        PartfieldArea=round(area(BROAD)),
        CropTypeIdRef="CTP1",
        CropVarietyIdRef="CVT1",
        **OWNER,
    )


def _broad_lines(inner: Ring) -> Element:
    start, end = (20.0, 36.0), (400.0, 46.6)
    heading = f"{bearing(start, end):.4f}"
    return el(
        "GGP",
        el(
            "GPN",
            line(5, [start, end], point_kinds=[6, 7], LineStringWidth=24_000),
            GuidancePatternId="GPN1",
            GuidancePatternDesignator="AB Südkante",
            GuidancePatternType=1,
            GuidancePatternPropagationDirection=1,
            GuidancePatternExtension=1,
            **MEASURED,
        ),
        el(
            "GPN",
            line(5, [(24.0, 150.0)], point_kinds=[6], LineStringWidth=3_000),
            GuidancePatternId="GPN2",
            GuidancePatternDesignator="A+ quer",
            GuidancePatternType=2,
            GuidancePatternPropagationDirection=3,
            GuidancePatternHeading=heading,
            GuidancePatternGNSSMethod=16,
            NumberOfSwathsLeft=0,
            NumberOfSwathsRight=40,
        ),
        _slope_curve(inner),
        polygon(9, inner, designator="Gilt im Hauptfeld"),
        GuidanceGroupId="GGP1",
        GuidanceGroupDesignator="Spuren Große Breite",
    )


def _slope_curve(inner: Ring) -> Element:
    north = [inner[3], (inner[3][0] + 100, inner[3][1] - 95), (inner[2][0], inner[2][1] - 100), inner[2]]
    bent = [(20.0 + 13 * i, 250.0 + 8 * math.sin(i / 5)) for i in range(30)]
    return el(
        "GPN",
        line(5, bent, point_kinds=[6, *[9] * 28, 7], LineStringWidth=24_000),
        polygon(8, north, designator="Gilt am Hang"),
        GuidancePatternId="GPN3",
        GuidancePatternDesignator="Kurve am Hang",
        GuidancePatternType=3,
        GuidancePatternPropagationDirection=1,
        GuidancePatternExtension=4,
        **MEASURED,
    )


def _hollow(folder: Path) -> Element:
    drain = stored_line(
        folder,
        "PNT00002",
        6,
        [(540.0 + 10 * i, 40.0 + 4 * i) for i in range(27)],
        heights=True,
        LineStringDesignator="Sammler Ø 100",
        LineStringId="LSG4",
    )
    return el(
        "PFD",
        polygon(1, HOLLOW, (POND,), PolygonId="PLN6"),
        polygon(3, POND, designator="Teich", PolygonId="PLN7", PolygonColour=9),
        drain,
        line(7, [(520.0, 0.0), (800.0, -20.0)], "Weidezaun", LineStringLength=280_713, LineStringId="LSG5"),
        point(4, (560.0, 20.0), "Feldrandlager", PointId="PNT5"),
        PartfieldId="PFD2",
        PartfieldCode="KU<2>",
        PartfieldDesignator='Kuhle & "Hölle" (mit Teich)',
        PartfieldArea=round(area(HOLLOW) - area(POND)),
        CropTypeIdRef="CTP2",
        CropVarietyIdRef="CVT3",
        **OWNER,
    )


def _tip() -> Element:
    return el(
        "PFD",
        polygon(1, TIP, PolygonId="PLN8"),
        PartfieldId="PFD4",
        PartfieldDesignator="Ostzipfel d'r Großen Breite",
        PartfieldArea=round(area(TIP)),
        FieldIdRef="PFD1",
        CropTypeIdRef="CTP1",
        CropVarietyIdRef="CVT2",
        **OWNER,
    )


def _narrow() -> Element:
    return el(
        "PFD",
        polygon(1, NARROW, designator="Süd", PolygonId="PLN9"),
        polygon(1, NARROW_NORTH, designator="Nord", PolygonId="PLN10"),
        polygon(12, HEDGE, designator="Hecke", PolygonId="PLN12"),
        polygon(5, LANE, designator="Feldweg", PolygonId="PLN13"),
        point(3, (-92.0, 100.0), "Zufahrt Süd", PointId="PNT6"),
        point(11, (-60.0, 80.0), "Hof", PointId="PNT7"),
        PartfieldId="PFD3",
        PartfieldDesignator="Schmale Äcker",
        PartfieldCode="Ä-3",
        PartfieldArea=round(area(NARROW) + area(NARROW_NORTH)),
        CropTypeIdRef="CTP1",
        **OWNER,
    )


def _brook(folder: Path) -> Element:
    shore = wavy(BROOK, 6.0, 2.5)
    outline = stored_line(folder, "PNT00001", 1, [*shore, shore[0]], heights=False)
    return el(
        "PFD",
        el("PLN", outline, PolygonType=1, PolygonArea=round(area(shore)), PolygonId="PLN11"),
        _circles(),
        _spiral(),
        PartfieldId="PFD5",
        PartfieldDesignator=BROOK_NAME,
        PartfieldArea=round(area(shore)),
        **OWNER,
    )


def _circles() -> Element:
    places = [WELL, (WELL[0], WELL[1] + 120.0), (WELL[0] + 120.0, WELL[1])]
    return el(
        "GGP",
        el(
            "GPN",
            line(5, [WELL], point_kinds=[8], LineStringWidth=24_000),
            GuidancePatternId="GPN4",
            GuidancePatternDesignator="Kreis um Brunnen",
            GuidancePatternType=4,
            GuidancePatternOptions=3,
            GuidancePatternRadius=120_000,
            GuidancePatternGNSSMethod=5,
        ),
        el(
            "GPN",
            line(5, places, point_kinds=[8, 6, 7], LineStringWidth=24_000),
            GuidancePatternId="GPN6",
            GuidancePatternDesignator="Viertelkreis",
            GuidancePatternType=4,
            GuidancePatternOptions=1,
        ),
        GuidanceGroupId="GGP2",
        GuidanceGroupDesignator="Kreisberegnung",
    )


def _spiral() -> Element:
    turns = [(WELL[0] + 1.1 * i * math.cos(i / 6), WELL[1] + 1.1 * i * math.sin(i / 6)) for i in range(1, 100)]
    return el(
        "GGP",
        el(
            "GPN",
            line(5, turns, point_kinds=[6, *[9] * 97, 7], LineStringWidth=3_000),
            GuidancePatternId="GPN5",
            GuidancePatternDesignator="Schnecke",
            GuidancePatternType=5,
            GuidancePatternPropagationDirection=4,
        ),
        polygon(8, inset(BROOK, 10.0), designator="Gilt innen"),
        GuidanceGroupId="GGP3",
    )

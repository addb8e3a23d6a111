"""What the office plans: tasks by polygon, by grid of both types, by mixture, and a template."""

from __future__ import annotations

import math
import struct
from pathlib import Path

from _devices import DRILL_NAME, SPRAYER_NAME, TRACTOR_NAME
from _place import cell_size, decimal, degrees
from _shapes import polygon
from _xml import Element, el

RATES = {1: 2_000_000, 2: 1_500_000, 3: 2_400_000, 10: 0}
"""Setpoints of the spraying task, 0.01 mm3/m2, by zone code."""
POOR = [(40.0, 40.0), (190.0, 44.0), (186.0, 180.0), (38.0, 176.0)]
RICH = [(230.0, 120.0), (380.0, 124.0), (376.0, 280.0), (226.0, 276.0)]
BOOM, SPRAYER_ROOT, TANK = "DET203", "DET201", "DET204"
SEED, STARTER, DRILL_BOOM, DRILL_ROOT = "DET304", "DET305", "DET303", "DET301"
TRACTOR_ROOT, SPRAYER_HITCH, DRILL_HITCH, TRACTOR_HITCH = "DET101", "DET202", "DET302", "DET103"


def planned(start: str, hours: int) -> Element:
    """Return a planned allocation stamp."""
    return el("ASP", Start=f"{start}+02:00", Duration=3600 * hours, Type=1)


def tasks(folder: Path) -> list[Element]:
    """Return the tasks; grids are written into ``folder``."""
    return [_polygons(), _coarse_grid(folder), _fine_grid(folder), _mixture(), _template()]


def coupling(tool: str, hitch: str) -> Element:
    """Return the connection of the tractor with a tool."""
    return el(
        "CNN", DeviceIdRef_0="DVC1", DeviceElementIdRef_0=TRACTOR_HITCH, DeviceIdRef_1=tool, DeviceElementIdRef_1=hitch
    )


def setpoint(ddi: int, value: int, part: str | None, **more: object) -> Element:
    """Return a PDV."""
    return el("PDV", ProcessDataDDI=f"{ddi:04X}", ProcessDataValue=value, DeviceElementIdRef=part, **more)


def _polygons() -> Element:
    shown = {"ValuePresentationIdRef": "VPN3"}
    zones = [
        el(
            "TZN",
            setpoint(1, RATES[1], BOOM, **shown),
            TreatmentZoneCode=1,
            TreatmentZoneDesignator="Normal",
            TreatmentZoneColour=10,
        ),
        el(
            "TZN",
            polygon(2, POOR),
            setpoint(1, RATES[2], BOOM, ProductIdRef="PDT5", **shown),
            TreatmentZoneCode=2,
            TreatmentZoneDesignator="Kuppe, trocken",
        ),
        el(
            "TZN",
            polygon(2, RICH),
            setpoint(1, RATES[3], BOOM, ProductIdRef="PDT5", **shown),
            TreatmentZoneCode=3,
            TreatmentZoneDesignator="Senke",
        ),
        el("TZN", setpoint(1, RATES[10], BOOM, **shown), TreatmentZoneCode=10, TreatmentZoneDesignator="Aus"),
    ]
    return el(
        "TSK",
        *zones,
        el("TIM", Start="2024-04-18T07:00:00+02:00", Duration=14_400, Type=1),
        el("OTP", CulturalPracticeIdRef="CPC1", OperationTechniqueIdRef="OTQ1"),
        el("WAN", planned("2024-04-18T07:00:00", 4), WorkerIdRef="WKR2"),
        el(
            "DAN",
            planned("2024-04-18T07:00:00", 4),
            ClientNAMEValue=SPRAYER_NAME,
            ClientNAMEMask="FFFFFFFFFFE00000",
            DeviceIdRef="DVC2",
        ),
        el("DAN", ClientNAMEValue=TRACTOR_NAME, DeviceIdRef="DVC1"),
        coupling("DVC2", SPRAYER_HITCH),
        el(
            "PAN",
            planned("2024-04-18T06:45:00", 1),
            ProductIdRef="PDT5",
            QuantityDDI="0048",
            QuantityValue=1_500_000,
            TransferMode=1,
            DeviceElementIdRef=TANK,
            ValuePresentationIdRef="VPN1",
        ),
        *_triggers(),
        el("CAN", planned("2024-04-18T07:00:00", 4), CodedCommentIdRef="CCT2", CodedCommentListValueIdRef="CCL3"),
        el("CAN", FreeCommentText="Erst ab 8 °C & trocken spritzen!"),
        el(
            "CAT",
            planned("2024-04-18T07:00:00", 4),
            SourceClientNAME=TRACTOR_NAME,
            UserClientNAME=SPRAYER_NAME,
            SourceDeviceStructureLabel="01020304050607",
            UserDeviceStructureLabel="0A0B11121314151617",
            SourceDeviceElementNumber=3,
            UserDeviceElementNumber=2,
            ProcessDataDDI="0001",
        ),
        el(
            "GAN",
            planned("2024-04-18T07:00:00", 4),
            el(
                "GST",
                planned("2024-04-18T07:00:00", 4),
                GuidanceGroupIdRef="GGP1",
                GuidanceEastShift=120,
                GuidanceNorthShift=-80,
            ),
            el("GST", GuidancePatternIdRef="GPN1", PropagationOffset=50),
            GuidanceGroupIdRef="GGP1",
        ),
        TaskId="TSK1",
        TaskDesignator="Spritzen Große Breite T1",
        CustomerIdRef="CTR1",
        FarmIdRef="FRM1",
        PartfieldIdRef="PFD1",
        ResponsibleWorkerIdRef="WKR1",
        TaskStatus=1,
        DefaultTreatmentZoneCode=1,
        PositionLostTreatmentZoneCode=1,
        OutOfFieldTreatmentZoneCode=10,
    )


def _triggers() -> list[Element]:
    return [
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        el(
            "DLT",
            DataLogDDI="0002",
            DataLogMethod=9,
            DataLogTimeInterval=1000,
            DataLogThresholdChange=10_000,
            DeviceElementIdRef=BOOM,
            ValuePresentationIdRef="VPN3",
        ),
        el("DLT", DataLogDDI="00A1", DataLogMethod=8, DataLogThresholdChange=1, DeviceElementIdRef=BOOM),
        el("DLT", DataLogDDI="0050", DataLogMethod=16, DeviceElementIdRef=BOOM),
        el(
            "DLT",
            DataLogDDI="DFFE",
            DataLogMethod=1,
            DataLogTimeInterval=1000,
            DataLogPGN=61_444,
            DataLogPGNStartBit=24,
            DataLogPGNStopBit=39,
        ),
    ]


def _grid(
    number: int,
    kind: int,
    *,
    corner: tuple[float, float],
    cell: float,
    shape: tuple[int, int],
    size: int,
    template: int | None = None,
) -> Element:
    south, west = degrees(*corner)
    north_size, east_size = cell_size(cell, corner[1])
    return el(
        "GRD",
        GridMinimumNorthPosition=decimal(south),
        GridMinimumEastPosition=decimal(west),
        GridCellNorthSize=decimal(north_size),
        GridCellEastSize=decimal(east_size),
        GridMaximumColumn=shape[0],
        GridMaximumRow=shape[1],
        Filename=f"GRD{number:05d}",
        Filelength=size,
        GridType=kind,
        TreatmentZoneCode=template,
    )


def _coarse_grid(folder: Path) -> Element:
    columns, rows = 18, 15
    codes = bytes(1 + (column // 6 + row // 5) % 3 for row in range(rows) for column in range(columns))
    (folder / "GRD00001.BIN").write_bytes(codes)
    names = {1: "leicht", 2: "mittel", 3: "schwer"}
    zones = [
        el(
            "TZN",
            setpoint(6, 14_000 + 2000 * code, SEED, ProductIdRef="PDT1", ValuePresentationIdRef="VPN4"),
            TreatmentZoneCode=code,
            TreatmentZoneDesignator=name,
            TreatmentZoneColour=20 + code,
        )
        for code, name in names.items()
    ]
    return el(
        "TSK",
        *zones,
        el("TZN", setpoint(6, 0, SEED), TreatmentZoneCode=0, TreatmentZoneDesignator="Außerhalb"),
        el("OTP", CulturalPracticeIdRef="CPC2", OperationTechniqueIdRef="OTQ2"),
        el("DAN", ClientNAMEValue=DRILL_NAME, DeviceIdRef="DVC3"),
        coupling("DVC3", DRILL_HITCH),
        el("PAN", ProductIdRef="PDT1"),
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        _grid(1, 1, corner=(515.0, -25.0), cell=20.0, shape=(columns, rows), size=len(codes)),
        TaskId="TSK2",
        TaskDesignator='Säen Kuhle & "Hölle"',
        CustomerIdRef="CTR1",
        FarmIdRef="FRM1",
        PartfieldIdRef="PFD2",
        TaskStatus=1,
        OutOfFieldTreatmentZoneCode=0,
    )


def _fine_grid(folder: Path) -> Element:
    columns, rows = 22, 16
    cells = b""
    for row in range(rows):
        for column in range(columns):
            seed = 16_000 + round(2500 * math.sin(column / 4) * math.cos(row / 5), -2)
            cells += struct.pack("<ii", int(seed), 9_000 + 500 * ((column + row) % 5))
    (folder / "GRD00002.BIN").write_bytes(cells)
    return el(
        "TSK",
        el(
            "TZN",
            setpoint(6, 0, SEED, ProductIdRef="PDT1", ElementTypeInstanceValue=1),
            setpoint(6, 0, STARTER, ProductIdRef="PDT2", ElementTypeInstanceValue=2),
            TreatmentZoneCode=1,
            TreatmentZoneDesignator="Muster des Rasters",
        ),
        el(
            "TZN",
            setpoint(6, 16_000, SEED),
            setpoint(6, 10_000, STARTER),
            TreatmentZoneCode=2,
            TreatmentZoneDesignator="Ohne Ortung",
        ),
        el("OTP", CulturalPracticeIdRef="CPC2", OperationTechniqueIdRef="OTQ3"),
        el("WAN", WorkerIdRef="WKR1"),
        el("DAN", ClientNAMEValue=DRILL_NAME, DeviceIdRef="DVC3"),
        coupling("DVC3", DRILL_HITCH),
        el("PAN", ProductIdRef="PDT1"),
        el("PAN", ProductIdRef="PDT2"),
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        _grid(2, 2, corner=(-305.0, -5.0), cell=10.0, shape=(columns, rows), size=len(cells), template=1),
        TaskId="TSK3",
        TaskDesignator="Säen Schmale Äcker Süd",
        CustomerIdRef="CTR1",
        FarmIdRef="FRM1",
        PartfieldIdRef="PFD3",
        ResponsibleWorkerIdRef="WKR1",
        TaskStatus=1,
        PositionLostTreatmentZoneCode=2,
    )


def _mixture() -> Element:
    parts = [
        el("PDV", ProcessDataDDI="0001", ProcessDataValue=1_960_000, ProductIdRef="PDT4"),
        el("PDV", ProcessDataDDI="0001", ProcessDataValue=40_000, ProductIdRef="PDT3"),
    ]
    whole = setpoint(1, 2_000_000, BOOM, ActualCulturalPracticeValue=3)
    whole.extend(parts)
    return el(
        "TSK",
        el("TZN", whole, TreatmentZoneCode=254, TreatmentZoneDesignator="Ganzes Feld"),
        el("OTP", CulturalPracticeIdRef="CPC1", OperationTechniqueIdRef="OTQ1"),
        el("DAN", ClientNAMEValue=SPRAYER_NAME, DeviceIdRef="DVC2"),
        coupling("DVC2", SPRAYER_HITCH),
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        TaskId="TSK4",
        TaskDesignator="Spritzen am Bach",
        CustomerIdRef="CTR1",
        FarmIdRef="FRM1",
        PartfieldIdRef="PFD5",
        TaskStatus=1,
        DefaultTreatmentZoneCode=254,
    )


def _template() -> Element:
    return el(
        "TSK",
        el("OTP", CulturalPracticeIdRef="CPC2"),
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        TaskId="TSK5",
        TaskDesignator="Vorlage: Drillsaat",
        TaskStatus=5,
    )

"""What the office plans: tasks by polygon, by grid of both types, by mixture, and a template."""

from __future__ import annotations

from pathlib import Path

from _devices import SPRAYER_NAME, TRACTOR_NAME
from _grids import coarse_grid, fine_grid
from _parts import BOOM, SPRAYER_HITCH, TANK, coupling, planned, setpoint
from _shapes import polygon
from _xml import Element, el

RATES = {1: 2_000_000, 2: 1_500_000, 3: 2_400_000, 10: 0}
"""Setpoints of the spraying task, 0.01 mm3/m2, by zone code."""
POOR = [(40.0, 40.0), (190.0, 44.0), (186.0, 180.0), (38.0, 176.0)]
RICH = [(230.0, 120.0), (380.0, 124.0), (376.0, 280.0), (226.0, 276.0)]
MORNING = "2024-04-18T07:00:00"


def tasks(folder: Path) -> list[Element]:
    """Return the tasks; grids are written into ``folder``."""
    return [_polygons(), coarse_grid(folder), fine_grid(folder), _mixture(), _template()]


def _polygons() -> Element:
    return el(
        "TSK",
        *_spray_zones(),
        el("TIM", Start=f"{MORNING}+02:00", Duration=14_400, Type=1),
        el("OTP", CulturalPracticeIdRef="CPC1", OperationTechniqueIdRef="OTQ1"),
        el("WAN", planned(MORNING, 4), WorkerIdRef="WKR2"),
        *_spray_machines(),
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
        el("CAN", planned(MORNING, 4), CodedCommentIdRef="CCT2", CodedCommentListValueIdRef="CCL3"),
        el("CAN", FreeCommentText="Erst ab 8 °C & trocken spritzen!"),
        *_spray_control(),
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


def _spray_zones() -> list[Element]:
    shown = {"ValuePresentationIdRef": "VPN3"}
    return [
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


def _spray_machines() -> list[Element]:
    mask = "FFFFFFFFFFE00000"
    return [
        el("DAN", planned(MORNING, 4), ClientNAMEValue=SPRAYER_NAME, ClientNAMEMask=mask, DeviceIdRef="DVC2"),
        el("DAN", ClientNAMEValue=TRACTOR_NAME, DeviceIdRef="DVC1"),
        coupling("DVC2", SPRAYER_HITCH),
    ]


def _spray_control() -> list[Element]:
    shift = {"GuidanceGroupIdRef": "GGP1", "GuidanceEastShift": 120, "GuidanceNorthShift": -80}
    return [
        el(
            "CAT",
            planned(MORNING, 4),
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
            planned(MORNING, 4),
            el("GST", planned(MORNING, 4), **shift),
            el("GST", GuidancePatternIdRef="GPN1", PropagationOffset=50),
            GuidanceGroupIdRef="GGP1",
        ),
    ]


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

"""Tasks that follow a grid: one of zone codes, one of setpoints."""

from __future__ import annotations

import math
import struct
from pathlib import Path

from _devices import DRILL_NAME
from _parts import DRILL_HITCH, SEED, STARTER, coupling, setpoint
from _place import Metres, cell_size, decimal, degrees
from _xml import Element, el

FINE_CORNER, FINE_CELL = (-305.0, -5.0), 10.0


def fine_cell(place: Metres) -> tuple[int, int]:
    """Return column and row of the fine grid at ``place``."""
    return int((place[0] - FINE_CORNER[0]) // FINE_CELL), int((place[1] - FINE_CORNER[1]) // FINE_CELL)


def seed_dose(column: int, row: int) -> int:
    """Return the seed setpoint of a cell of the fine grid in mg/m2."""
    return 16_000 + 100 * round(25 * math.sin(column / 4) * math.cos(row / 5))


def starter_dose(column: int, row: int) -> int:
    """Return the fertilizer setpoint of a cell of the fine grid in mg/m2."""
    return 9_000 + 500 * ((column + row) % 5)


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


def coarse_grid(folder: Path) -> Element:
    """Write a grid of zone codes and return the task that follows it."""
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


def _fine_zones() -> list[Element]:
    return [
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
    ]


def fine_grid(folder: Path) -> Element:
    """Write a grid of two setpoints a cell and return the task that follows it."""
    columns, rows = 22, 16
    cells = b""
    for row in range(rows):
        for column in range(columns):
            cells += struct.pack("<ii", seed_dose(column, row), starter_dose(column, row))
    (folder / "GRD00002.BIN").write_bytes(cells)
    return el(
        "TSK",
        *_fine_zones(),
        el("OTP", CulturalPracticeIdRef="CPC2", OperationTechniqueIdRef="OTQ3"),
        el("WAN", WorkerIdRef="WKR1"),
        el("DAN", ClientNAMEValue=DRILL_NAME, DeviceIdRef="DVC3"),
        coupling("DVC3", DRILL_HITCH),
        el("PAN", ProductIdRef="PDT1"),
        el("PAN", ProductIdRef="PDT2"),
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        _grid(2, 2, corner=FINE_CORNER, cell=FINE_CELL, shape=(columns, rows), size=len(cells), template=1),
        TaskId="TSK3",
        TaskDesignator="Säen Schmale Äcker Süd",
        CustomerIdRef="CTR1",
        FarmIdRef="FRM1",
        PartfieldIdRef="PFD3",
        ResponsibleWorkerIdRef="WKR1",
        TaskStatus=1,
        PositionLostTreatmentZoneCode=2,
    )

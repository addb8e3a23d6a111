"""A data set made in code: awkward names, holes, parts, both sides of the antimeridian, near a pole."""

from __future__ import annotations

import json
import zlib

import numpy as np

from taskdata.model.carried import Carried, CarriedElement, CarriedFile
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Customer, Farm, Field, GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.model.logs import Log, Logged, LogRecords
from taskdata.model.shapes import Area, AreaKind, Coordinates, Line, LineKind, Point, PointKind
from taskdata.model.tasks import Grid, Setpoint, Task, TaskStatus, Zone

LONG = "Große Breite hinter dem alten Wehr, " * 12
LON, LAT = 9.1234567891234567, 52.987654321098765


def carried() -> Carried:
    """Return what stands for the task data set behind the records."""
    elements = (
        CarriedElement(0, -1, "TASKDATA.XML", "ISO11783_TaskData", json.dumps({"VersionMajor": "4"})),
        CarriedElement(1, 0, "TASKDATA.XML", "#comment", json.dumps(' "Ä" \u2028 \\ \x01 ')),
        CarriedElement(2, 0, "TASKDATA.XML", "PFD", json.dumps({"A": "PFD1", "C": LONG}, ensure_ascii=False)),
    )
    files = (
        CarriedFile("TASKDATA.XML", "main", 0, '{"encoding": "UTF-8"}', b""),
        CarriedFile("TLG00001.BIN", "other", 0, '{"size": 256}', zlib.compress(bytes(range(256)))),
        CarriedFile("EMPTY.BIN", "other", 0, '{"size": 0}', zlib.compress(b"")),
    )
    return Carried(elements, files)


def box(west: float, south: float, width: float, height: float) -> Coordinates:
    """Return an open ring, clockwise, with digits that only the shortest exact text keeps."""
    east, north = west + width, south + height
    return np.array([[west, south], [west, north], [east, north], [east, south]])


def dataset() -> Dataset:
    """Return the data set."""
    return Dataset(
        source="TASKDATA",
        format="isoxml",
        version=(4, 3),
        customers=(Customer("CTR1", "Söderhöft", key=3),),
        farms=(Farm("FRM1", "Hof Ahrenbrook", "CTR1", key=4),),
        fields=(_first(), _second(), _antimeridian(), _polar(), _empty()),
        tasks=(_task(), _second_task()),
        lossless=carried(),
    )


def _first() -> Field:
    outer = box(LON, LAT, 0.01, 0.007)
    hole = box(LON + 0.002, LAT + 0.002, 0.001, 0.001 / 3)
    boundary = Area(AreaKind.BOUNDARY, (outer,), (hole,), name="", id="PLN1", key=11)
    headland = Area(
        AreaKind.HEADLAND,
        (box(LON, LAT, 0.01, 0.0003),),
        name='"Vor\\gewende"\n\t; ',
        id="PLN2",
        declared_area_m2=23_000,
        key=12,
    )
    valid = Area(AreaKind.BOUNDARY, (box(LON, LAT, 0.005, 0.005),), id="PLN3", key=13)
    lines = (
        GuidanceLine(
            GuidanceKind.AB,
            np.array([[LON, LAT], [LON + 0.01, LAT + 1e-9]]),
            "Südkante",
            "GPN1",
            spacing_m=1 / 3,
            swaths_left=0,
            propagation=2,
            extension=3,
            key=21,
        ),
        GuidanceLine(GuidanceKind.A_PLUS, np.array([[LON, LAT]]), "quer", "GPN2", heading_deg=359.9999, key=22),
        GuidanceLine(
            GuidanceKind.CURVE,
            LON + np.random.default_rng(1).random((50, 2)) * [0.01, 0.007] + [0, LAT - LON],
            LONG,
            "GPN3",
            boundaries=(valid,),
            key=23,
        ),
        GuidanceLine(
            GuidanceKind.PIVOT,
            np.array([[LON + 0.004, LAT + 0.003]]),
            "Kreis",
            "GPN4",
            radius_m=150.25,
            direction=3,
            key=24,
        ),
        GuidanceLine(GuidanceKind.AB, np.array([[LON, LAT]]), "nur A", "GPN5", key=25),
    )
    return Field(
        "PFD1",
        LONG,
        code=" x ",
        declared_area_m2=550_000,
        customer="CTR1",
        farm="FRM1",
        boundaries=(boundary,),
        areas=(headland,),
        lines=(
            Line(
                LineKind.FENCE,
                np.array([[LON, LAT], [LON + 0.001, LAT], [LON + 0.001, LAT + 0.1 + 0.2]]),
                "Zaun",
                "LSG1",
                colour=3,
                key=31,
            ),
        ),
        points=(
            Point(PointKind.FIELD_ACCESS, LON, LAT, "Tor 'Nord'", "PNT1", up_m=0.1 + 0.2, key=41),
            Point(PointKind.OBSTACLE, LON + 0.001, LAT, None, None, colour=255, key=42),
        ),
        groups=(GuidanceGroup(lines, "Früh & spät", "GGP1", key=20),),
        key=10,
    )


def _second() -> Field:
    parts = (
        Area(AreaKind.BOUNDARY, (box(LON + 0.02, LAT, 0.002, 0.002),), id="PLN4", key=51),
        Area(AreaKind.BOUNDARY, (box(LON + 0.03, LAT, 0.002, 0.002), box(LON + 0.04, LAT, 0.002, 0.002)), key=52),
        Area(AreaKind.BOUNDARY, (np.array([[LON, LAT], [LON + 1, LAT]]),), key=53),
    )
    return Field("PFD2", "Schmale Äcker; zwei Teile", boundaries=parts, key=50)


def _antimeridian() -> Field:
    ring = np.array([[179.995, -16.5], [-179.995, -16.5], [-179.995, -16.49], [179.995, -16.49]])
    hole = np.array([[179.999, -16.497], [-179.999, -16.497], [-179.999, -16.493], [179.999, -16.493]])
    line = GuidanceLine(
        GuidanceKind.AB, np.array([[179.996, -16.495], [-179.996, -16.4949]]), "über 180", "GPN6", key=63
    )
    return Field(
        "PFD3",
        "Datumsgrenze",
        boundaries=(Area(AreaKind.BOUNDARY, (ring,), (hole,), id="PLN6", key=61),),
        groups=(GuidanceGroup((line,), id="GGP2", key=62),),
        key=60,
    )


def _polar() -> Field:
    ring = np.array([[-100.0, 89.9], [100.0, 89.9], [150.0, 89.95]])
    return Field("PFD4", "fast am Pol", boundaries=(Area(AreaKind.BOUNDARY, (ring,), id="PLN7", key=71),), key=70)


def _empty() -> Field:
    return Field("PFD5", "(ohne Grenze)", key=80)


def _task() -> Task:
    zones = (
        Zone(0, "außerhalb", setpoints=(Setpoint(1, 0),), key=91),
        Zone(
            1,
            "Zone 1",
            colour=4,
            areas=(Area(AreaKind.TREATMENT_ZONE, (box(LON, LAT, 0.003, 0.003),), key=93),),
            setpoints=(Setpoint(1, 2_000_000_000, "PDT1", "DET2"), Setpoint(6, -5)),
            key=92,
        ),
    )
    cells = np.arange(12, dtype=np.uint8).reshape(3, 4)
    grid = Grid("GRD00001", 1, LAT, LON, 0.0001, 0.0002, 4, 3, lambda: cells, key=95)
    return Task(
        "TSK1",
        TaskStatus.PLANNED,
        "Düngung",
        field="PFD1",
        zones=zones,
        grid=grid,
        key=90,
        logs=(Log("TLG00001", (Logged(0x43, "DET1"), Logged(0x8D, "DET2"), Logged(0x43, "DET1")), records, key=96),),
    )


def _second_task() -> Task:
    cells = np.array([[[1, -2], [3, 2**31 - 1]]], dtype=np.int32)
    grid = Grid(
        "GRD00002",
        2,
        -16.5,
        179.999,
        0.001,
        0.001,
        2,
        1,
        lambda: cells,
        setpoints=(Setpoint(1, 0), Setpoint(6, 0)),
        key=98,
    )
    return Task("TSK2", TaskStatus.COMPLETED, "Ablage", field="PFD3", grid=grid, key=97)


def records() -> LogRecords:
    """Return three log records: two values at once, no position, no new value."""
    return LogRecords(
        time=np.array(["2026-05-03T10:00:00.125", "NaT", "2026-05-03T10:00:02"], dtype="datetime64[ms]"),
        lon=np.array([LON, np.nan, LON + 1e-7]),
        lat=np.array([LAT, np.nan, LAT]),
        up_m=np.array([45.678, np.nan, 45.0]),
        status=np.array([4, 255, 0], dtype=np.uint8),
        value_record=np.array([0, 0, 1]),
        value_index=np.array([0, 1, 2], dtype=np.uint8),
        value=np.array([6000, -1, 7], dtype=np.int32),
        extras={
            "HDOP": np.array([12, 0xFFFF, 9], dtype=np.uint16),
            "NumberOfSatellites": np.array([9, 255, 0], dtype=np.uint8),
        },
    )

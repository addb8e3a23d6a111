"""A season's three sticks, small: a drill's, a sprayer's and an older spreader's, with fields in common and faults.

The drill and the sprayer hang behind one make's terminal, which numbers things alike on every stick; the spreader's
terminal is of another make and reads and writes version 3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from _devices import DRILL_NAME, SPRAYER_NAME, drill, sprayer, tractor
from _drive import Pace, Track, up_and_down
from _fields import HOLLOW, NARROW, NARROW_NORTH, POND, TIP
from _logs import Channel, Log, Receiver
from _machine import CONTROLLER, capabilities, span
from _office import root
from _older import ROOT_PART, SPREADER_NAME, open_polygon, spreader
from _parts import BOOM, DRILL_BOOM, DRILL_ROOT, SPRAYER_ROOT
from _place import Ring, area, inset
from _shapes import line, polygon, ring
from _work import Tool, Work
from _xml import Element, change, el, value, write

OWNER = {"CustomerIdRef": "CTR1", "FarmIdRef": "FRM1"}
DRILLED, SPRAYED, SPREAD = datetime(2025, 4, 2, 8, 0), datetime(2025, 5, 6, 9, 30), datetime(2025, 3, 11, 14, 15)
CORNER = [(-60.0, 330.0), (40.0, 334.0), (36.0, 420.0), (-64.0, 416.0)]
AT_THE_GATE = [(-20.0, 331.6), (-19.0, 336.0), (-24.0, 336.0), (-20.5, 331.0)]
"""A turn at the gate that the driver recorded with the outline: the outline crosses itself there."""
SEEN_AGAIN = [(300.3, 29.8), (405.2, 33.3), (397.9, 290.4), (299.8, 285.2)]
"""The corners of the tip as the spreader's terminal recorded them."""


@dataclass(frozen=True, slots=True)
class Job:
    """A field worked by an implement: its NAME and parts, its metres, and when."""

    name: str
    device: str
    part: str
    tool: Tool
    begin: datetime
    log: str


DRILL = Job(DRILL_NAME, "DVC3", DRILL_BOOM, Tool(2.95, (3.0,)), DRILLED, "TLG00001")
SPRAY = Job(SPRAYER_NAME, "DVC2", BOOM, Tool(3.45, (24.0,)), SPRAYED, "TLG00001")
LIME = Job(SPREADER_NAME, "DVC41", "DET4103", Tool(4.5, (18.0,)), SPREAD, "TLG00001")


def worked(job: Job, field: Ring, folder: Path, total: str) -> list[Element]:
    """Work a field in strips; return its TIM, DAN and TLG."""
    ground = inset(field, 3.0)
    track = Track(Pace(3.0, 2.5, 1.8), field[0])
    up_and_down(track, ground, sum(job.tool.widths), job.tool.trail)
    work = Work(job.tool, field, ground, doses=[lambda _: 20_000], per_m2=1e-6, seed=job.device)
    log = Log([Channel(141, job.part)], ("PositionNorth", "PositionEast", "PositionStatus"))
    receiver = Receiver(job.device, job.begin)
    for state in work.states(track.fixes(1)):
        raw = receiver.raw(state.fix.time, state.fix.east, state.fix.north)
        log.add(raw, {0: int(any(state.on))})
        last = state
    end = int(last.fix.time) + 1
    sums = el("DLV", ProcessDataDDI="0074", ProcessDataValue=last.area, DeviceElementIdRef=total)
    return [
        span("TIM", 4, job.begin, end, sums),
        el("DAN", ClientNAMEValue=job.name, DeviceIdRef=job.device),
        log.write(folder, job.log),
    ]


def task(number: str, name: str, field: str, parts: Sequence[Element], **owner: object) -> Element:
    """Return a completed task."""
    return el("TSK", *parts, TaskId=number, TaskDesignator=name, **owner, PartfieldIdRef=field, TaskStatus=4)


def common() -> list[Element]:
    """Return what both sticks of the one make hold: people and two fields."""
    pattern = el(
        "GPN",
        line(5, [(302.0, 34.0), (403.0, 37.0)], point_kinds=[6, 7], LineStringWidth=24_000),
        GuidancePatternId="GPN1",
        GuidancePatternDesignator="AB Süd",
        GuidancePatternType=1,
    )
    group = el("GGP", pattern, GuidanceGroupId="GGP1", GuidanceGroupDesignator="Spuren")
    return [
        el("CTR", CustomerId="CTR1", CustomerLastName="Söderhöft-Ährenbrook", CustomerFirstName="Jördis"),
        el("FRM", FarmId="FRM1", FarmDesignator="Hof Ahrenbrook", CustomerIdRef="CTR1"),
        el(
            "PFD",
            polygon(1, TIP),
            group,
            PartfieldId="PFD1",
            PartfieldDesignator="Ostzipfel",
            PartfieldArea=round(area(TIP)),
            **OWNER,
        ),
        el(
            "PFD",
            polygon(1, HOLLOW, (POND,)),
            PartfieldId="PFD2",
            PartfieldDesignator="Kuhle",
            PartfieldArea=round(area(HOLLOW) - area(POND)),
            **OWNER,
        ),
    ]


def drill_stick(folder: Path) -> None:
    """Write the drill's stick; a worker's number has a leading zero there."""
    folder.mkdir(parents=True)
    work = task("TSK1", "Säen Ostzipfel", "PFD1", worked(DRILL, TIP, folder, DRILL_ROOT), **OWNER)
    change(work, ResponsibleWorkerIdRef="WKR01")
    worker = el("WKR", WorkerId="WKR01", WorkerLastName="Quendelhain", WorkerFirstName="Ásta")
    data = [*common(), worker, tractor(), drill(), capabilities(), work]
    write(folder / "TASKDATA.XML", root(2, *data, **CONTROLLER))


def sprayer_stick(folder: Path) -> None:
    """Write the sprayer's stick: a new field with a loop in its outline, a wrong length, a file too many."""
    folder.mkdir(parents=True)
    outline = [CORNER[0], *AT_THE_GATE, *CORNER[1:]]
    new = el(
        "PFD",
        el("PLN", ring(outline), PolygonType=1),
        PartfieldId="PFD-1",
        PartfieldDesignator="Neu am Tor",
        PartfieldArea=round(area(CORNER)),
        **OWNER,
    )
    work = task("TSK1", "Spritzen Ostzipfel", "PFD1", worked(SPRAY, TIP, folder, SPRAYER_ROOT), **OWNER)
    for log in work.iter("TLG"):
        change(log, Filelength=int(value(log, "Filelength") or 0) - 11)
    (folder / "SCREEN01.TXT").write_text("Invented: what the display kept for itself.\n", encoding="utf-8")
    data = [*common(), new, tractor(), sprayer(), capabilities(), work]
    write(folder / "TASKDATA.XML", root(2, *data, **CONTROLLER))


def spreader_stick(folder: Path) -> None:
    """Write the older spreader's stick: ground in common under another number, and a field of two parts."""
    folder.mkdir(parents=True)
    owner = {"CustomerIdRef": "CTR7", "FarmIdRef": "FRM7"}
    data = [
        el("CTR", CustomerId="CTR7", CustomerLastName="Söderhöft-Ährenbrook", CustomerFirstName="Jördis"),
        el("FRM", FarmId="FRM7", FarmDesignator="Hof Ahrenbrook", CustomerIdRef="CTR7"),
        el(
            "PFD",
            open_polygon(1, (SEEN_AGAIN, False)),
            PartfieldId="PFD7",
            PartfieldDesignator="OSTZIPFEL",
            PartfieldArea=round(area(SEEN_AGAIN)),
            **owner,
        ),
        el(
            "PFD",
            open_polygon(1, (NARROW, False), (NARROW_NORTH, False)),
            line(5, [(-298.0, 6.0), (-93.0, 11.0)], "AB S", LineStringWidth=18_000),
            PartfieldId="PFD8",
            PartfieldDesignator="SCHMALE AECKER",
            PartfieldArea=round(area(NARROW) + area(NARROW_NORTH)),
            **owner,
        ),
        spreader(),
        task("TSK7", "KALK OSTZIPFEL", "PFD7", worked(LIME, TIP, folder, ROOT_PART), **owner),
    ]
    top = el(
        "ISO11783_TaskData",
        *data,
        VersionMajor=3,
        VersionMinor=3,
        ManagementSoftwareManufacturer="Büro Unterlindhollen",
        ManagementSoftwareVersion="0.9",
        TaskControllerManufacturer="Bordrechner Unterlindhollen",
        TaskControllerVersion="1.1",
        DataTransferOrigin=2,
    )
    for node in top.iter("TIM"):
        change(node, Start=str(value(node, "Start"))[:19], Stop=str(value(node, "Stop"))[:19])
    write(folder / "TASKDATA.XML", top)


def make_sticks(folder: Path) -> None:
    """Write the three sticks."""
    drill_stick(folder / "drill" / "TASKDATA")
    sprayer_stick(folder / "sprayer" / "TASKDATA")
    spreader_stick(folder / "spreader" / "TASKDATA")

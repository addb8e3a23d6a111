"""The set a machine brings back: the same season, with work done and logged and a few new elements."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from _coding import liquid_products
from _devices import BOOM_X, DRILL_X, HITCH_X, NAVIGATION_X, SECTION_WIDTHS, SPRAYER_NAME
from _drive import TURN, Pace, Track, leaping, strip_count, up_and_down, whole_field
from _fields import BROAD, BROOK, NARROW, OWNER, far_fields, near_fields
from _logs import EVERYTHING, Channel, Log, Receiver
from _office import attached_links, by_id, coding_data, links, mark, root, uuid
from _place import Metres, area, decimal, degrees, inset, inside
from _shapes import point, polygon
from _tasks import (
    BOOM,
    DRILL_BOOM,
    DRILL_ROOT,
    POOR,
    RATES,
    RICH,
    SEED,
    SPRAYER_HITCH,
    SPRAYER_ROOT,
    STARTER,
    TANK,
    TRACTOR_ROOT,
    coupling,
    tasks,
)
from _work import State, Tool, Work
from _xml import Element, change, el, write

CONTROLLER = {"TaskControllerManufacturer": "Schlepperwerk Unterlindhollen", "TaskControllerVersion": "4.17.2"}
SPRAYER = Tool((NAVIGATION_X - HITCH_X - BOOM_X) / 1000, tuple(width / 1000 for width in SECTION_WIDTHS))
DRILL = Tool((NAVIGATION_X - HITCH_X - DRILL_X) / 1000, (1.5, 1.5))
SPRAY_START = datetime(2024, 4, 18, 7, 12, 30)
DRILL_START = datetime(2024, 4, 17, 13, 5, 0)
BROOK_START = datetime(2024, 4, 18, 14, 30, 0)
REFILL = 900
SPRAY_CHANNELS = [
    Channel(161, BOOM),
    Channel(2, BOOM),
    Channel(1, BOOM),
    Channel(141, BOOM),
    Channel(67, BOOM),
    Channel(160, BOOM),
    Channel(80, BOOM),
    Channel(116, SPRAYER_ROOT),
    Channel(117, SPRAYER_ROOT),
    Channel(118, SPRAYER_ROOT),
    Channel(119, SPRAYER_ROOT),
    Channel(120, SPRAYER_ROOT),
    Channel(72, TANK),
    Channel(397, TRACTOR_ROOT),
]
DRILL_CHANNELS = [
    Channel(141, DRILL_BOOM),
    Channel(161, DRILL_BOOM),
    Channel(7, SEED),
    Channel(7, STARTER),
    Channel(81, SEED),
    Channel(81, STARTER),
    Channel(116, DRILL_ROOT),
]


def wanted(place: Metres) -> int:
    """Return the setpoint of the spraying task at ``place``."""
    if inside(place, POOR):
        return RATES[2]
    if inside(place, RICH):
        return RATES[3]
    return RATES[1] if inside(place, BROAD) else RATES[10]


def spray_values(state: State, tank: float) -> dict[int, int]:
    """Return the values of a sprayer record by place in ``SPRAY_CHANNELS``."""
    on = any(state.on)
    width = sum(size for size, open_ in zip(SECTION_WIDTHS, state.on, strict=True) if open_)
    values = {0: state.condensed(), 1: state.real[0], 2: state.wanted[0], 3: int(on), 4: width, 5: 1}
    if state.fix.time % 1 == 0:
        values[13] = round(20 * state.fix.speed) * 50
    if state.fix.time % 10 == 0:
        values |= {
            6: int(state.amounts[0]),
            7: state.area,
            8: state.distance,
            9: state.idle_distance,
            10: state.time,
            11: state.idle_time,
            12: 1000 * round(tank - state.amounts[0]),
        }
    return values


def drill_values(state: State) -> dict[int, int]:
    """Return the values of a drill record by place in ``DRILL_CHANNELS``."""
    values = {0: int(any(state.on)), 1: state.condensed(), 2: state.real[0], 3: state.real[1]}
    if state.fix.time % 10 == 0:
        values |= {4: int(state.amounts[0]), 5: int(state.amounts[1]), 6: state.area}
    return values


def spray_broad(folder: Path) -> tuple[Element, list[State]]:
    """Log the spraying of the broad field at 5 Hz with all there is; return states at start, refill and end."""
    pace = Pace(2.8, 2.4, 1.7)
    track = whole_field(BROAD, 24.0, SPRAYER.trail, pace, (2.0, 2.0))
    work = Work(SPRAYER, BROAD, inset(BROAD, 24.0), doses=[wanted], per_m2=1e-8, seed="broad")
    log, receiver = Log(SPRAY_CHANNELS, EVERYTHING), Receiver("broad", SPRAY_START, (1400.0, 1442.0))
    marks: list[State] = []
    tank, pause = 1500.0, 0
    for state in work.states(track.fixes(5)):
        if not pause and state.fix.time > 1000 and state.fix.phase == TURN:
            pause, tank = REFILL, tank + 1200.0
            marks = [marks[0], state, state]
        raw = receiver.raw(state.fix.time, state.fix.east, state.fix.north, pause)
        log.add(raw, spray_values(state, tank))
        marks = [*(marks[:-1] if pause else marks[:1]), state]
    return log.write(folder, "TLG00001"), marks


def drill_narrow(folder: Path) -> tuple[Element, list[State]]:
    """Log the drilling of the narrow field at 2 Hz with little: place, and a status that never changes."""
    inner = inset(NARROW, 12.0)
    track = Track(Pace(2.3, 2.0, 1.5), (-92.0, 100.0))
    up_and_down(track, inner, 3.0, DRILL.trail, leaping(strip_count(inner, 3.0))[:-4])
    work = Work(DRILL, NARROW, inner, doses=[lambda _: 16_000, lambda _: 10_000], per_m2=1e-6, seed="narrow")
    log = Log(DRILL_CHANNELS, ("PositionNorth", "PositionEast"), {"PositionStatus": 4})
    receiver = Receiver("narrow", DRILL_START)
    marks: list[State] = []
    for state in work.states(track.fixes(2)):
        log.add(receiver.raw(state.fix.time, state.fix.east, state.fix.north), drill_values(state))
        marks = [*marks[:1], state]
    return log.write(folder, "TLG00002"), marks


def spray_brook(folder: Path) -> tuple[Element, list[State]]:
    """Log the spraying by the brook at 1 Hz, one dose all over."""
    track = whole_field(inset(BROOK, 3.0), 24.0, SPRAYER.trail, Pace(3.1, 2.4, 1.7), (8.0, -405.0))
    inner = inset(BROOK, 27.0)
    work = Work(SPRAYER, inset(BROOK, 3.0), inner, doses=[lambda _: 1_800_000], per_m2=1e-8, seed="brook")
    stored = ("PositionNorth", "PositionEast", "PositionUp", "PositionStatus", "GpsUtcTime", "GpsUtcDate")
    log, receiver = Log(SPRAY_CHANNELS[:9], stored), Receiver("brook", BROOK_START, (300.0, 330.0))
    marks: list[State] = []
    for state in work.states(track.fixes(1)):
        values = {index: item for index, item in spray_values(state, 1500.0).items() if index < 9}
        log.add(receiver.raw(state.fix.time, state.fix.east, state.fix.north), values)
        marks = [*marks[:1], state]
    return log.write(folder, "TLG00003"), marks


def stamp(moment: datetime) -> str:
    """Return ``moment`` with the zone of the valley."""
    return moment.strftime("%Y-%m-%dT%H:%M:%S+02:00")


def span(tag: str, kind: int, begin: datetime, seconds: int, *children: Element) -> Element:
    """Return a TIM or ASP of ``seconds``."""
    return el(
        tag, *children, Start=stamp(begin), Stop=stamp(begin + timedelta(seconds=seconds)), Duration=seconds, Type=kind
    )


def position(place: Metres) -> Element:
    """Return a PTN."""
    north, east = degrees(*place)
    return el("PTN", PositionNorth=decimal(north), PositionEast=decimal(east), PositionStatus=4)


def totals(state: State, device: str, amounts: dict[str, int]) -> list[Element]:
    """Return the task totals at ``state``."""
    pairs = [
        (116, state.area),
        (117, state.distance),
        (118, state.idle_distance),
        (119, state.time),
        (120, state.idle_time),
    ]
    values = [
        el("DLV", ProcessDataDDI=f"{ddi:04X}", ProcessDataValue=number, DeviceElementIdRef=device)
        for ddi, number in pairs
    ]
    ddi = "0050" if BOOM in amounts else "0051"
    return values + [
        el("DLV", ProcessDataDDI=ddi, ProcessDataValue=number, DeviceElementIdRef=part)
        for part, number in amounts.items()
    ]


def _at(state: State) -> Element:
    return position((state.fix.east, state.fix.north))


def finish_spraying(task: Element, folder: Path) -> None:
    """Turn the planned spraying into a completed one."""
    log, (first, refill, last) = spray_broad(folder)
    half, end = int(refill.fix.time), int(last.fix.time) + 1
    again = SPRAY_START + timedelta(seconds=half + REFILL)
    done = SPRAY_START + timedelta(seconds=end + REFILL)
    part = totals(refill, SPRAYER_ROOT, {BOOM: int(refill.amounts[0])})
    all_of_it = totals(last, SPRAYER_ROOT, {BOOM: int(last.amounts[0])})
    whole = end + REFILL
    task.extend(
        [
            span("TIM", 2, SPRAY_START - timedelta(seconds=1350), 1350),
            span("TIM", 4, SPRAY_START, half, _at(first), _at(refill), *part),
            span("TIM", 5, SPRAY_START + timedelta(seconds=half), REFILL, *part),
            span("TIM", 4, again, end - half, _at(refill), _at(last), *all_of_it),
            span("TIM", 7, done, 1200, *all_of_it),
            el("WAN", span("ASP", 4, SPRAY_START, whole), WorkerIdRef="WKR2"),
            el("DAN", span("ASP", 4, SPRAY_START, whole), ClientNAMEValue=SPRAYER_NAME, DeviceIdRef="DVC2"),
            *(
                el(
                    "PAN",
                    span("ASP", 4, moment, 300),
                    ProductIdRef="PDT5",
                    QuantityDDI="0048",
                    QuantityValue=amount,
                    TransferMode=mode,
                    DeviceElementIdRef=TANK,
                    ValuePresentationIdRef="VPN1",
                )
                for moment, amount, mode in (
                    (SPRAY_START - timedelta(seconds=600), 1_500_000, 1),
                    (SPRAY_START + timedelta(seconds=half + 120), 1_200_000, 1),
                    (done, int(1000 * (2700 - last.amounts[0])), 3),
                )
            ),
            el(
                "CAN",
                el(
                    "ASP",
                    position((150.0, 205.0)),
                    Start=stamp(SPRAY_START + timedelta(seconds=700)),
                    Stop=None,
                    Type=4,
                ),
                CodedCommentIdRef="CCT1",
                CodedCommentListValueIdRef="CCL1",
            ),
            el(
                "CAN",
                span(
                    "ASP", 4, SPRAY_START + timedelta(seconds=300), 240, position((60.0, 12.0)), position((410.0, 30.0))
                ),
                CodedCommentIdRef="CCT3",
            ),
            log,
        ]
    )
    change(task, TaskStatus=4)


def run_drilling(task: Element, folder: Path) -> None:
    """Turn the planned drilling into a running one."""
    log, (first, last) = drill_narrow(folder)
    end = int(last.fix.time) + 1
    amounts = {SEED: int(last.amounts[0]), STARTER: int(last.amounts[1])}
    task.extend(
        [
            span("TIM", 4, DRILL_START, end, _at(first), _at(last), *totals(last, DRILL_ROOT, amounts)),
            el("WAN", el("ASP", Start=stamp(DRILL_START), Type=4), WorkerIdRef="WKR1"),
            log,
        ]
    )
    change(task, TaskStatus=2)


def new_task(folder: Path) -> Element:
    """Return the task the driver started on the machine."""
    log, (first, last) = spray_brook(folder)
    end = int(last.fix.time) + 1
    return el(
        "TSK",
        span(
            "TIM", 4, BROOK_START, end, _at(first), _at(last), *totals(last, SPRAYER_ROOT, {BOOM: int(last.amounts[0])})
        ),
        el("OTP", CulturalPracticeIdRef="CPC1", OperationTechniqueIdRef="OTQ1"),
        el("WAN", span("ASP", 4, BROOK_START, end), WorkerIdRef="WKR-1"),
        el("DAN", span("ASP", 4, BROOK_START, end), ClientNAMEValue=SPRAYER_NAME, DeviceIdRef="DVC2"),
        coupling("DVC2", SPRAYER_HITCH),
        el(
            "PAN",
            span("ASP", 4, BROOK_START - timedelta(seconds=600), 300),
            ProductIdRef="PDT-1",
            QuantityDDI="0048",
            QuantityValue=1_500_000,
            TransferMode=1,
            DeviceElementIdRef=TANK,
        ),
        el("DLT", DataLogDDI="DFFF", DataLogMethod=31),
        log,
        TaskId="TSK-1",
        TaskDesignator="Nachtrag: links vom Bach",
        CustomerIdRef="CTR1",
        FarmIdRef="FRM1",
        PartfieldIdRef="PFD5",
        ResponsibleWorkerIdRef="WKR-1",
        TaskStatus=4,
    )


def new_coding_data() -> list[Element]:
    """Return what the driver entered on the machine."""
    corner = [(-60.0, 330.0), (40.0, 334.0), (36.0, 420.0), (-64.0, 416.0)]
    return [
        el("WKR", WorkerId="WKR-1", WorkerLastName="Quendelhain", WorkerFirstName="Ásta"),
        el("PDT", ProductId="PDT-1", ProductDesignator="Netzmittel?", ProductGroupIdRef="PGP3", QuantityDDI="0048"),
        el(
            "PFD",
            polygon(1, corner, PolygonId="PLN-1"),
            point(1, (0.0, 380.0), "Grube", PointId="PNT-1"),
            PartfieldId="PFD-1",
            PartfieldDesignator="Neu 18.04.",
            PartfieldArea=round(area(corner)),
            **OWNER,
        ),
    ]


def make_machine(folder: Path) -> None:
    """Write the set of the machine."""
    folder.mkdir(parents=True)
    near, plans = near_fields(folder), tasks(folder)
    mark(near)
    finish_spraying(by_id(plans, "TSK", "TaskId", "TSK1"), folder)
    run_drilling(by_id(plans, "TSK", "TaskId", "TSK3"), folder)
    plans.append(new_task(folder))
    added = [
        el("LNK", ObjectIdRef=item, LinkValue=uuid(500 + number))
        for number, item in enumerate(("PFD-1", "WKR-1", "PDT-1", "TSK-1"))
    ]
    group = el("LGP", *added, LinkGroupId="LGP-1", LinkGroupType=1)
    capabilities = el(
        "TCC",
        TaskControllerControlFunctionNAME="A002820000812345",
        TaskControllerDesignator='Terminal im Schlepper "Alte Dame"',
        VersionNumber=4,
        ProvidedCapabilities=63,
        NumberOfBoomsSectionControl=1,
        NumberOfSectionsSectionControl=16,
        NumberOfControlChannels=4,
    )
    data = [
        attached_links(folder, links(group, DataTransferOrigin=2, **CONTROLLER)),
        *coding_data(),
        *liquid_products(),
        *near,
        *far_fields(folder),
        *new_coding_data(),
        capabilities,
        *plans,
    ]
    write(folder / "TASKDATA.XML", root(2, *data, **CONTROLLER))

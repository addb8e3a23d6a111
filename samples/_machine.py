"""The set a machine brings back: the same season, with work done and logged and a few new elements."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from _coding import liquid_products
from _devices import SPRAYER_NAME
from _fields import OWNER, far_fields, near_fields
from _office import attached_links, by_id, coding_data, links, mark, root, uuid
from _parts import BOOM, DRILL_ROOT, SEED, SPRAYER_HITCH, SPRAYER_ROOT, STARTER, TANK, coupling
from _place import Metres, area, decimal, degrees
from _season import BROOK_START, DRILL_START, REFILL, SPRAY_START, drill_narrow, spray_broad, spray_brook
from _shapes import point, polygon
from _tasks import tasks
from _work import State
from _xml import Element, change, el, write

CONTROLLER = {"TaskControllerManufacturer": "Schlepperwerk Unterlindhollen", "TaskControllerVersion": "4.17.2"}


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
            filling(SPRAY_START - timedelta(seconds=600), 1_500_000, 1),
            filling(SPRAY_START + timedelta(seconds=half + 120), 1_200_000, 1),
            filling(done, int(1000 * (2700 - last.amounts[0])), 3),
            *_comments(),
            log,
        ]
    )
    change(task, TaskStatus=4)


def filling(moment: datetime, amount: int, mode: int, product: str = "PDT5") -> Element:
    """Return the PAN of ``amount`` ml moved into the tank or left in it."""
    return el(
        "PAN",
        span("ASP", 4, moment, 300),
        ProductIdRef=product,
        QuantityDDI="0048",
        QuantityValue=amount,
        TransferMode=mode,
        DeviceElementIdRef=TANK,
        ValuePresentationIdRef="VPN1",
    )


def _comments() -> list[Element]:
    stone = el("ASP", position((150.0, 205.0)), Start=stamp(SPRAY_START + timedelta(seconds=700)), Type=4)
    ends = position((60.0, 12.0)), position((410.0, 30.0))
    weeds = span("ASP", 4, SPRAY_START + timedelta(seconds=300), 240, *ends)
    return [
        el("CAN", stone, CodedCommentIdRef="CCT1", CodedCommentListValueIdRef="CCL1"),
        el("CAN", weeds, CodedCommentIdRef="CCT3"),
    ]


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
        filling(BROOK_START - timedelta(seconds=600), 1_550_000, 1, "PDT-1"),
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
    data = [
        attached_links(folder, links(group, DataTransferOrigin=2, **CONTROLLER)),
        *coding_data(),
        *liquid_products(),
        *near,
        *far_fields(folder),
        *new_coding_data(),
        capabilities(),
        *plans,
    ]
    write(folder / "TASKDATA.XML", root(2, *data, **CONTROLLER))


def capabilities() -> Element:
    """Return what the terminal can do."""
    return el(
        "TCC",
        TaskControllerControlFunctionNAME="A002820000812345",
        TaskControllerDesignator='Terminal im Schlepper "Alte Dame"',
        VersionNumber=4,
        ProvidedCapabilities=63,
        NumberOfBoomsSectionControl=1,
        NumberOfSectionsSectionControl=16,
        NumberOfControlChannels=4,
    )

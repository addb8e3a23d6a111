"""The season's driving: three logs, and what the machine stood at when each began and ended."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from _devices import BOOM_X, DRILL_X, HITCH_X, NAVIGATION_X, SECTION_WIDTHS
from _drive import TURN, Pace, Track, leaping, strip_count, up_and_down, whole_field
from _fields import BROAD, BROOK, NARROW
from _grids import fine_cell, seed_dose, starter_dose
from _logs import EVERYTHING, Channel, Log, Receiver
from _parts import BOOM, DRILL_BOOM, DRILL_ROOT, SEED, SPRAYER_ROOT, STARTER, TANK, TRACTOR_ROOT
from _place import Metres, inset, inside
from _tasks import POOR, RATES, RICH
from _work import State, Tool, Work
from _xml import Element

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
    doses = [lambda place: seed_dose(*fine_cell(place)), lambda place: starter_dose(*fine_cell(place))]
    work = Work(DRILL, NARROW, inner, doses=doses, per_m2=1e-6, seed="narrow")
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

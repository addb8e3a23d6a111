"""What one log lacks, and what was taken for granted with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from taskdata.fieldwork.logs.clock import SetBack
from taskdata.fieldwork.machine.connectors import DescriptionGap
from taskdata.fieldwork.machine.section_states import Basis
from taskdata.fieldwork.machine.working_tools import Tool
from taskdata.fieldwork.sweeps.log_work import LogSource, LogWork
from taskdata.fieldwork.sweeps.position_gaps import gaps
from taskdata.findings import Finding
from taskdata.raised_rules.coverage.assumed_delay import RULE as ASSUMED_DELAY
from taskdata.raised_rules.coverage.assumed_joint import RULE as ASSUMED_JOINT
from taskdata.raised_rules.coverage.boom_left_out import RULE as BOOM_LEFT_OUT
from taskdata.raised_rules.coverage.clock_set_back import RULE as CLOCK_SET_BACK
from taskdata.raised_rules.coverage.device_left_out import RULE as DEVICE_LEFT_OUT
from taskdata.raised_rules.coverage.no_joint import RULE as NO_JOINT
from taskdata.raised_rules.coverage.no_navigation import RULE as NO_NAVIGATION
from taskdata.raised_rules.coverage.no_offset import RULE as NO_OFFSET
from taskdata.raised_rules.coverage.no_position import RULE as NO_POSITION
from taskdata.raised_rules.coverage.no_states import RULE as NO_STATES
from taskdata.raised_rules.coverage.no_time import RULE as NO_TIME
from taskdata.raised_rules.coverage.no_width import RULE as NO_WIDTH
from taskdata.raised_rules.coverage.one_position import RULE as ONE_POSITION
from taskdata.raised_rules.coverage.position_gap import RULE as POSITION_GAP
from taskdata.raised_rules.coverage.state_in_error import RULE as STATE_ERROR
from taskdata.raised_rules.coverage.stray_position import RULE as STRAY_POSITION

_DOUBTS = {
    DescriptionGap.NO_NAVIGATION: NO_NAVIGATION,
    DescriptionGap.ASSUMED_JOINT: ASSUMED_JOINT,
    DescriptionGap.NO_JOINT: NO_JOINT,
    DescriptionGap.NO_OFFSET: NO_OFFSET,
}

_NAMED = 6
"""The most records that are named in one note."""


def without_width(source: LogSource) -> Finding:
    """Return the note on a log whose implement has no width."""
    return NO_WIDTH.at(source.log.place, file=source.log.file)


def notes(tools: Sequence[LogWork]) -> Iterator[Finding]:
    """Yield the notes on what the tools of a log did."""
    yield from _log_notes(tools[0])
    for work in tools:
        yield from _tool_notes(work)
    for seconds in sorted(set(tools[0].source.values.assumed.values())):
        yield _assumed(tools[0].source, seconds)
    yield from _gaps(tools[0])


def _assumed(source: LogSource, seconds: float) -> Finding:
    """Return the note on a delay whose sign was assumed; it names the machines that state it."""
    stated = (part for part, value in source.values.assumed.items() if value == seconds)
    machines = (source.values.trees[part].machine for part in stated)
    name = " and ".join(dict.fromkeys(machine.name or machine.id for machine in machines))
    return ASSUMED_DELAY.at(source.log.place, name=name, file=source.log.file, seconds=seconds)


def left_out(source: LogSource, tools: Sequence[Tool]) -> Iterator[Finding]:
    """Yield a note on each tool of which a log does not say when it worked."""
    for tool in tools:
        machine, width = tool.tree.machine, round(tool.bar.width, 2)
        yield DEVICE_LEFT_OUT.at(machine.place, name=machine.name or machine.id, file=source.log.file, width=width)


def _log_notes(work: LogWork) -> Iterator[Finding]:
    log, place = work.source.log, work.source.log.place
    if len(work.track.kept) == 0:
        yield NO_POSITION.at(place, file=log.file, count=len(work.source.records.time))
    elif not np.isfinite(work.track.heading).any():
        yield ONE_POSITION.at(place, file=log.file)
    if work.track.strays:
        yield STRAY_POSITION.at(place, file=log.file, count=work.track.strays)
    if work.source.values.seconds is None:
        yield NO_TIME.at(place, file=log.file)
    falls = work.source.values.clock.set_back
    if falls:
        yield CLOCK_SET_BACK.at(place, file=log.file, count=len(falls), what=_listed(falls))


def _tool_notes(work: LogWork) -> Iterator[Finding]:
    log, place = work.source.log, work.source.log.place
    if work.states.basis is not Basis.STATES:
        yield NO_STATES.at(place, file=log.file, what=str(work.states.basis))
    if work.states.errors:
        yield STATE_ERROR.at(place, file=log.file, count=work.states.errors)
    if work.chain.doubt is not None:
        yield _DOUBTS[work.chain.doubt].at(place, file=log.file)
    for part in work.bar.aside:
        yield BOOM_LEFT_OUT.at(part.place, name=part.name or part.id)


def _listed(falls: Sequence[SetBack]) -> str:
    """Return at which records the clock was set back and by how much, the first of many."""
    named = [f"record {fall.record} by {fall.seconds:g} s" for fall in falls[:_NAMED]]
    return ", ".join(named) + (f" and {len(falls) - _NAMED} more" if len(falls) > _NAMED else "")


def _gaps(work: LogWork) -> Iterator[Finding]:
    """Yield a note where sections worked while positions were missing."""
    found, log = gaps(work), work.source.log
    if found.count:
        area = round(found.area_m2)
        yield POSITION_GAP.at(log.place, file=log.file, count=found.count, seconds=round(found.seconds), area=area)

"""The operations of logs: what tools side by side did, log by log."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.dataclass import dataclass
from taskdata.fieldwork.implement import Settings
from taskdata.fieldwork.sweeps.log_notes import left_out, notes, without_width
from taskdata.fieldwork.sweeps.log_work import LogSource, LogWork, works
from taskdata.findings import Finding, Place
from taskdata.geometry.plane import LocalPlane
from taskdata.progress import each
from taskdata.raised_rules.coverage.same_strip import RULE as SAME_STRIP


@dataclass(eq=False)
class Operation:
    """What tools side by side did: the works of each log, and the identifiers of the tools."""

    logs: list[list[LogWork]]
    notes: list[Finding]
    tools: set[tuple[str, ...]]


def operations_of(
    sources: Sequence[LogSource], plane: LocalPlane, settings: Settings
) -> tuple[list[Operation], list[Finding]]:
    """Return the operations of logs, those of the same tools together, and the notes on logs without any."""
    found: list[Operation] = []
    common: list[Finding] = []
    for source in each(sources, "Following implements", "logs"):
        done, unsaid = works(source, plane, settings)
        common += left_out(source, unsaid)
        if not done:
            common.append(without_width(source))
        here: list[Operation] = []
        for tools in done:
            names = {_tool(work) for work in tools}
            known = next((item for item in found if item.tools & names and item not in here), None)
            if known is None:
                known = Operation([], [], set())
                found.append(known)
            known.logs.append(tools)
            known.tools |= names
            known.notes += notes(tools)
            here.append(known)
    return found, common


def _tool(work: LogWork) -> tuple[str, ...]:
    machine = "" if work.tree is None else work.tree.machine.id
    return machine, "" if work.bar.carrier is None else work.bar.carrier.id


def devices(logs: Sequence[Sequence[LogWork]]) -> tuple[str, ...]:
    """Return the names of what worked in logs."""
    return tuple(dict.fromkeys(work.name for tools in logs for work in tools))


def same_strip(place: Place, operation: Operation, others: Sequence[Operation]) -> Iterator[Finding]:
    """Yield a note where other operations went over the same strip."""
    if others:
        listed = ", ".join(name for other in others for name in devices(other.logs))
        yield SAME_STRIP.at(place, name=" and ".join(devices(operation.logs)), others=listed)

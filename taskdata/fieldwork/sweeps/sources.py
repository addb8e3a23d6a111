"""Where sweeps come from: the logs of tasks; or, in layers without logs, lines and points taken for tracks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field as made

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.part_tree import Tree
from taskdata.fieldwork.sweeps.log_work import LogSource
from taskdata.findings import Finding, Place
from taskdata.geometry.arrays import Points
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine
from taskdata.model.logs import Log, LogRecords
from taskdata.model.shapes import Line, LineKind
from taskdata.model.tasks import Task
from taskdata.raised_rules.coverage.empty_log import RULE as EMPTY_LOG
from taskdata.raised_rules.coverage.line_as_track import RULE as LINE_AS_TRACK
from taskdata.raised_rules.coverage.log_in_part import RULE as LOG_IN_PART
from taskdata.raised_rules.coverage.no_log import RULE as NO_LOG
from taskdata.raised_rules.coverage.unreadable_log import RULE as UNREADABLE_LOG

_STEERED = (GuidanceKind.AB, GuidanceKind.CURVE)
_UNKNOWN = (LineKind.FLAG, LineKind.TRAM_LINE)


@dataclass(frozen=True, eq=False)
class Job:
    """A piece of work: a task with its logs, or a track.

    Parameters
    ----------
    id : str
    name, field : str or None
        Name, and identifier of the field.
    practice : str or None
        Its cultural practice.
    products, machines : frozenset of str
        Identifiers of what it applies, and of what does it.
    sources : tuple of Source
        The logs that can be read.
    notes : tuple of Finding
    place : Place
    task : Task or None
        The task; None of a track.
    """

    id: str
    name: str | None
    field: str | None
    sources: tuple[LogSource, ...]
    notes: tuple[Finding, ...] = ()
    practice: str | None = None
    products: frozenset[str] = frozenset()
    machines: frozenset[str] = frozenset()
    place: Place = made(default_factory=Place)
    task: Task | None = None

    @property
    def logged(self) -> bool:
        """Whether there is, or should be, a log."""
        return bool(self.sources) or any(note.rule is not NO_LOG for note in self.notes)


def jobs(dataset: Dataset, *, tracks: bool, delay_s: float | None = None) -> list[Job]:
    """Return the jobs of a set.

    Parameters
    ----------
    tracks : bool
        Where layers hold no log, their lines or points are tracks.
    delay_s : float, optional
        As for `Source`.
    """
    trees = {machine.id: Tree(machine) for machine in dataset.machines}
    cut = _cut_logs(dataset)
    found = [_job(task, trees, cut, delay_s) for task in dataset.tasks]
    if any(job.logged for job in found) or dataset.lossless is not None or not tracks:
        return found
    return [*found, *_tracks(dataset)]


def _cut_logs(dataset: Dataset) -> dict[str, str]:
    """Return why logs were read in part alone, by the name of their binary file in capitals."""
    if not any(log.records is not None for task in dataset.tasks for log in task.logs):
        return {}
    return {item.file.upper(): item.why for item in dataset.unread}


def _job(task: Task, trees: dict[str, Tree], cut: dict[str, str], delay_s: float | None) -> Job:
    sources: list[LogSource] = []
    notes: list[Finding] = []
    for log in task.logs:
        records = log.records
        if records is None:
            notes.append(UNREADABLE_LOG.at(log.place, file=log.file))
        elif not len(records.time):
            notes.append(EMPTY_LOG.at(log.place, file=log.file))
        else:
            notes += _in_part(log, records, cut.get(f"{log.file}.BIN".upper()))
            sources.append(LogSource(log, records, _of_task(task, log, trees), task.connections, delay_s=delay_s))
    if not task.logs:
        notes.append(NO_LOG.at(task.place, name=task.id))
    planned = {setpoint.product for zone in task.zones for setpoint in zone.setpoints if setpoint.product}
    return Job(
        task.id,
        task.name,
        task.field,
        tuple(sources),
        tuple(notes),
        practice=task.practice,
        products=frozenset({*task.products, *planned}),
        machines=frozenset(task.machines),
        place=task.place,
        task=task,
    )


def _in_part(log: Log, records: LogRecords, reason: str | None) -> Iterator[Finding]:
    """Yield the note on a log of which only part was read."""
    if reason is not None:
        times = records.time[~np.isnat(records.time)].astype("datetime64[s]")
        spoken = [str(moment).replace("T", " ") for moment in (times.min(), times.max())] if len(times) else []
        start, end = spoken or ["an unknown time", "another"]
        yield LOG_IN_PART.at(log.place, file=log.file, reason=reason, start=start, end=end)


def _of_task(task: Task, log: Log, trees: dict[str, Tree]) -> dict[str, Tree]:
    """Return the machines that a task allocates or joins, or that its log names."""
    joined = {name for link in task.connections for name in (link.machine, link.other_machine)}
    parts = {quantity.part for quantity in log.quantities}
    return {
        identifier: tree
        for identifier, tree in trees.items()
        if identifier in joined or identifier in task.machines or any(part.id in parts for part in tree.machine.parts)
    }


def _tracks(dataset: Dataset) -> Iterator[Job]:
    """Yield the guidance lines of each field, else its plain lines, else its points in their order, as tracks."""
    for field in dataset.fields:
        lines = _lines(field)
        for line in lines:
            name = line.name or line.id or field.name
            yield _track(field, name, line.points, line.id or name, continuous=True)
        if not lines and len(field.points) > 1:
            points = np.array([(point.lon, point.lat) for point in field.points])
            yield _track(field, f"the points of {field.name}", points, field.id, continuous=False)


def _lines(field: Field) -> list[GuidanceLine] | list[Line]:
    """Return what may be the track of a machine: no fence, drain or obstacle."""
    guidance = [line for line in field.guidance if line.kind in _STEERED and len(line.points) > 1]
    return guidance or [line for line in field.lines if line.kind in _UNKNOWN and len(line.points) > 1]


def _track(field: Field, name: str, points: Points, identifier: str, *, continuous: bool) -> Job:
    records = track_records(points)
    log = Log(file=identifier, quantities=(), read=lambda: records)
    note = LINE_AS_TRACK.at(field.place, name=name)
    bounded = field.id if field.boundaries else None
    return Job(identifier, name, bounded, (LogSource(log, records, {}, continuous=continuous),), (note,))


def track_records(points: Points, time: Sequence[np.datetime64] | None = None) -> LogRecords:
    """Return positions (n, 2) in degrees, with times or without, as the records of a log that holds nothing else."""
    count = len(points)
    stamps = np.full(count, np.datetime64("NaT"), dtype="datetime64[ms]") if time is None else np.asarray(time)
    empty = np.empty(0, dtype=np.int64)
    return LogRecords(
        time=stamps.astype("datetime64[ms]"),
        lon=np.asarray(points[:, 0], dtype=np.float64),
        lat=np.asarray(points[:, 1], dtype=np.float64),
        up_m=None,
        status=None,
        value_record=empty,
        value_index=empty.astype(np.uint8),
        value=empty.astype(np.int32),
    )

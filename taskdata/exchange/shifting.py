"""Lines, a field or a whole set moved by some metres, given or estimated."""

from __future__ import annotations

import math
import os
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from typing import Unpack

from taskdata.amounts import plain
from taskdata.errors import UsageError
from taskdata.exchange.agreement import in_agreement
from taskdata.exchange.behind import document_behind
from taskdata.exchange.convert import write
from taskdata.exchange.load import load
from taskdata.exchange.refusing import refuse_unfit
from taskdata.exchange.targets import target_of
from taskdata.fieldwork.drift.common_lines import plane_of_logs
from taskdata.fieldwork.drift.moving import FARTHEST_M, Mover, Scope, is_stored, moved
from taskdata.fieldwork.drift.set_drift import estimate_drift
from taskdata.fieldwork.field_ground import plane_of
from taskdata.formats.foreign.options import Reading
from taskdata.isoxml.to_document.logs import MovedLog, move_log
from taskdata.isoxml.to_document.shifts import add_shifts
from taskdata.isoxml.to_document.stored_points import move_stored_points
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.copying import copy_document, copy_to_change
from taskdata.isoxml.tree.document import Document
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.phrases import phrase
from taskdata.results.shifting import MANY, Drift, Shifted

LEAST_DOUBT_M = 0.1
"""A shift that is known within so many metres is moved by, even where it is smaller."""

DEGREE_M = 111_195.0
"""A degree of latitude on a sphere of the mean radius of the Earth, 6371 km."""

SourcePath = str | os.PathLike[str]

LEAST_SHARE = 0.5
"""The share of things that have to agree on an estimated shift before anything moves by it: half of them."""


def shift(
    data: Dataset | SourcePath,
    target: SourcePath,
    *,
    east_m: float | None = None,
    north_m: float | None = None,
    estimate_from: Dataset | SourcePath | None = None,
    lines: bool = False,
    field: str | None = None,
    everything: bool = False,
    as_shift: bool = False,
    with_logs: bool = False,
    overwrite: bool = False,
    dry_run: bool = False,
    **reading: Unpack[Reading],
) -> Shifted:
    """Move guidance lines, a field or everything, and write the set; what does not move stays exactly.

    Moved lines and rates steer machines: drive the first pass by eye.

    Parameters
    ----------
    data : Dataset or path
        What ``read`` returned, or what it takes.
    target : path
        Where to write; its format is told by its name, else it is that of the source.
    east_m, north_m : float, optional
        Metres; one without the other leaves that one 0.
    estimate_from : Dataset or path, optional
        A set with the same things: the shift that moves the source onto it is estimated. A direction that cannot be
        determined is left unmoved and named; an estimate that is in doubt by more than its size is refused.
    lines, field, everything : bool, str or None, bool
        What moves: guidance lines (the default), all of the field with this identifier or name (with ``lines`` its
        lines alone), or everything.
    as_shift : bool
        Leave the lines where they are and put the shift down as guidance shift (GST) in the open tasks instead.
    with_logs : bool
        Move the positions in logs too.
    overwrite, dry_run : bool
        Allow that an existing target is replaced; write nothing.
    **reading
        As for ``read``, for both sets.

    Raises
    ------
    UsageError, SourceError, TargetError
        The call, a source or the target is at fault.

    Examples
    --------
    >>> import taskdata
    >>> done = taskdata.shift("samples/office", "moved", field="PFD1", east_m=0.8, north_m=-0.3, dry_run=True)
    >>> done.moved
    {'fields': 1, 'areas': 7, 'lines': 6, 'points': 4, 'zones': 2}
    """

    def opened(named: Dataset | SourcePath) -> Dataset:
        return named if isinstance(named, Dataset) else load(named, **reading).dataset

    dataset, making = in_agreement(opened(data))
    refuse_unfit(dataset)
    scope = _scope(dataset, lines=lines, field=field, everything=everything, logs=with_logs)
    if as_shift and not scope.lines_only:
        raise UsageError("a guidance shift moves only lines", remedy="Give [[lines]] with [[as_shift]]")
    east, north, drift = _wanted(dataset, east_m, north_m, estimate_from, opened)
    if as_shift:
        result, counts, losses = _as_shift(dataset, east, north, scope)
    else:
        result, counts, losses = _moved(dataset, east, north, scope)
    if not counts:
        raise UsageError(
            "there is nothing to move", where=dataset.source, remedy="Give [[everything]] or another [[field]]"
        )
    to = _format(target, dataset)
    written = write(result, target, to=to, overwrite=overwrite, dry_run=dry_run)
    found = dataset.findings
    written = replace(written, source=dataset.source, losses=(*making, *losses, *written.losses), findings=found)
    return Shifted(east, north, dict(counts), drift, written)


def _scope(dataset: Dataset, *, lines: bool, field: str | None, everything: bool, logs: bool) -> Scope:
    if everything and (lines or field is not None):
        raise UsageError("everything already includes lines and fields", remedy="Give [[everything]] alone")
    chosen = None if field is None else dataset.field(field).id
    lines_only = lines or not (everything or field is not None)
    if logs and lines_only:
        raise UsageError("logs move only with a field or everything", remedy="Leave [[with_logs]] out")
    return Scope(lines_only, chosen, logs)


def _wanted(
    dataset: Dataset,
    east: float | None,
    north: float | None,
    other: Dataset | SourcePath | None,
    opened: Callable[[Dataset | SourcePath], Dataset],
) -> tuple[float, float, Drift | None]:
    """Return the shift that is given, or estimate it."""
    if other is None:
        if east is None and north is None:
            raise UsageError(
                "no shift was given", remedy="Give [[east_m]] and [[north_m]] in metres, or [[estimate_from]]"
            )
        found = (east or 0.0, north or 0.0)
        if not all(math.isfinite(value) and abs(value) <= FARTHEST_M for value in found):
            raise UsageError(
                f"a shift of {plain(found[0])} m east and {plain(found[1])} m north is out of range",
                remedy="Give metres, such as 0.4",
            )
        return *found, None
    if east is not None or north is not None:
        raise UsageError(
            "a shift is either given or estimated, not both", remedy="Leave [[east_m]] and [[north_m]] out"
        )
    drift = estimate_drift(dataset, opened(other))
    if drift is None:
        raise UsageError(
            "the two sets have no boundary, line, point or pass in common from which a shift could be estimated",
            where=dataset.source,
            remedy="Give [[east_m]] and [[north_m]]",
        )
    if drift.share < LEAST_SHARE:
        raise UsageError(
            f"only {drift.share:.0%} of what the two sets have in common agrees on a shift, which is too little to "
            "move anything",
            where=dataset.source,
            remedy="Name a set of the same fields and work, or give [[east_m]] and [[north_m]]",
        )
    _refuse_doubtful(drift, dataset.source)
    return *drift.vector, drift


def _refuse_doubtful(drift: Drift, source: str) -> None:
    """Refuse a shift that is known too badly to move lines by it: not at all, or within more than its own size.

    Raises
    ------
    UsageError
        Names the estimate, for people who know more.
    """
    most = max(LEAST_DOUBT_M, math.hypot(*drift.vector))
    doubts = [axis.uncertainty_m for axis in drift.axes if axis.value_m is not None]
    if all(doubt is not None and doubt <= most for doubt in doubts):
        return
    known = [doubt for doubt in doubts if doubt is not None and math.isfinite(doubt)]
    common = " and ".join(f"{number} {kind if number == 1 else MANY[kind]}" for kind, number in drift.compared)
    within = f"is uncertain by {max(known):.2f} m" if len(known) == len(doubts) else "cannot be checked"
    east, north = (f"{round(value, 3) + 0.0:.3f} m" for value in drift.vector)
    along = "".join(f"; along {round(heading) % 180}° it cannot be determined" for heading in drift.undetermined_deg)
    raise UsageError(
        f"a shift of {east} east, {north} north fits the {common} in common, but from so little it {within}, so "
        f"nothing is moved{along}",
        where=source,
        remedy="Name a set with more in common, or give [[east_m]] and [[north_m]] if you trust it",
    )


def _moved(dataset: Dataset, east: float, north: float, scope: Scope) -> tuple[Dataset, Counter[str], list[Loss]]:
    """Return the set with its records, points in binary files, and logs where that is asked for, moved."""
    losses: list[Loss] = []
    counts: Counter[str] = Counter()
    document = document_behind(dataset)
    if document is not None and not scope.lines_only:
        document = copy_document(document)
        stored = {field.id for field in dataset.fields if _moved_points(document, field, east, north, scope)}
        scope = replace(scope, stored_points=frozenset(stored))
        plane = plane_of_logs(dataset) if scope.logs else None
        if plane is not None:
            losses += _moved_logs(document, dataset, Mover(plane, east, north, counts), scope)
        if stored or plane is not None:
            fresh = to_dataset(document)
            dataset = fresh.with_changes(source=dataset.source, format=dataset.format)
    result = moved(dataset, east, north, scope)
    return result.dataset, result.counts + counts, [*losses, *result.losses]


def _moved_points(document: Document, field: Field, east: float, north: float, scope: Scope) -> bool:
    """Move the points of a field that lie in binary files; tell whether there are any and all of them moved."""
    plane = plane_of(field)
    if plane is None or scope.field not in {None, field.id} or not any(map(is_stored, field.points)):
        return False
    return move_stored_points(document, field.id, Mover(plane, east, north).places)


def _moved_logs(document: Document, dataset: Dataset, mover: Mover, scope: Scope) -> Iterator[Loss]:
    """Move the logs, count them, and yield what stays."""
    for task in dataset.tasks:
        for log in task.logs if scope.field in {None, task.field} else ():
            found = move_log(document, log.file, mover.places)
            if found is not None:
                mover.counts["logs"] += 1
                yield from _log_step(task.id, log.file, found)
            else:
                what = phrase("log {file} stays where it was recorded", file=log.file)
                yield Loss(LossKind.CHANGED, task.id, what, phrase("its records cannot be read"))


def _log_step(task: str, file: str, found: MovedLog) -> Iterator[Loss]:
    """Yield what the step in which a log stores positions made of the shift."""
    if found.positions:
        what = phrase(
            "positions of log {file} move by {east_m:.3f} m east, {north_m:.3f} m north on average, "
            "each within {value:.0f} mm of its exact target",
            file=file,
            east_m=found.east_m,
            north_m=found.north_m,
            value=1000.0 * found.most_m,
        )
        why = phrase(
            "a log stores positions in steps of {step_deg:g} degree, {step_deg_2:.0f} mm",
            step_deg=found.step_deg,
            step_deg_2=found.step_deg * DEGREE_M * 1000,
        )
        yield Loss(LossKind.APPROXIMATED, task, what, phrase("{why} from south to north", why=why))


def _as_shift(dataset: Dataset, east: float, north: float, scope: Scope) -> tuple[Dataset, Counter[str], list[Loss]]:
    """Return the set with guidance shifts in its open tasks."""
    document = document_behind(dataset)
    if document is None:
        raise UsageError(
            "guidance shifts are stored in the tasks of an ISO-XML set, and there is none behind these layers",
            where=dataset.source,
            remedy="Move the lines without [[as_shift]]",
        )
    document = copy_to_change(document)
    document.authored = True
    fields = [field.id for field in dataset.fields if scope.field in {None, field.id}]
    count, losses = add_shifts(document, fields, round(east * 1000.0), round(north * 1000.0), _now(document))
    if any(abs(value * 1000.0 - round(value * 1000.0)) > 1e-6 for value in (east, north)):
        losses.append(
            Loss(
                LossKind.APPROXIMATED, None, phrase("the shift is rounded to 1 mm"), phrase("guidance shifts are in mm")
            )
        )
    fresh = to_dataset(document).with_changes(source=dataset.source, format=dataset.format)
    return fresh, Counter({"shifts": count}), losses


def _now(document: Document) -> str:
    """Return a stamp of now, with the zone where stamps of the set have one."""
    now = datetime.now().astimezone().replace(microsecond=0)
    stamps = (item.get("Start") or "" for tag in ("ASP", "TIM") for item in document.by_tag.get(tag, []))
    zoned = any(re.search(r"(Z|[+-]\d\d:\d\d)$", stamp) for stamp in stamps)
    return (now if zoned else now.replace(tzinfo=None)).isoformat()


def _format(target: SourcePath, dataset: Dataset) -> str | None:
    """Return the format of the target: told by its name, else that of the source; refuse a target on the source."""
    try:
        goal = target_of(target, None, None)
    except UsageError:
        goal = target_of(target, dataset.format, None)
    return target_of(target, goal.format, dataset.source).format

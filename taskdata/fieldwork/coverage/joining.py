"""Which tasks are one operation on a field, and why others stay apart.

Two tasks on one field are one operation where they apply the same product or are the same kind of work (cultural
practice), whatever machines they were done with, or where the same machines did them; unless they name different
practices or different products, or lie more than `APART_DAYS` days apart. Tracks are one operation. Without a known
field, those that were driven close by belong together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.tracks import usable
from taskdata.fieldwork.sweeps.log_work import LogSource
from taskdata.fieldwork.sweeps.sources import Job
from taskdata.findings import Finding
from taskdata.geometry.arrays import Points
from taskdata.geometry.plane import LocalPlane
from taskdata.model.fields import Field
from taskdata.raised_rules.coverage.kept_apart import RULE as KEPT_APART

CLOSE_BY_M = 100.0
"""How far apart the extents of two jobs without a field may lie that count as one."""

APART_DAYS = 21
"""Work of one operation that rain breaks off goes on within three weeks (common practice)."""


@dataclass(frozen=True, eq=False)
class PlacedJob:
    """A job with its field, the note on how that was found, and notes on why it stays apart from others."""

    job: Job
    field: Field | None
    note: Finding | None
    apart: tuple[Finding, ...] = ()


def joined(found: Sequence[PlacedJob], *, named: bool) -> list[list[PlacedJob]]:
    """Return jobs of one operation on one field together, each with notes on those that it stays apart from.

    Parameters
    ----------
    named : bool
        The user named the jobs, so that they are one operation wherever they lie on one field.
    """
    groups: list[list[PlacedJob]] = []
    for item in found:
        near = [group for group in groups if any(_belong(item, other, named=named) for other in group)]
        rest = [group for group in groups if group not in near]
        groups = [*rest, [*(other for group in near for other in group), item]]
    order = {id(item): number for number, item in enumerate(found)}
    groups = [sorted(group, key=lambda item: order[id(item)]) for group in groups]
    groups.sort(key=lambda group: order[id(group[0])])
    return [[replace(item, apart=tuple(_apart(item, group, groups))) for item in group] for group in groups]


def positions(sources: Sequence[LogSource]) -> Points:
    """Return the usable positions of logs, (n, 2) degrees."""
    found = [
        np.column_stack([source.records.lon[kept], source.records.lat[kept]])
        for source in sources
        if len(kept := usable(source.records))
    ]
    return np.concatenate(found) if found else np.empty((0, 2))


def _belong(one: PlacedJob, other: PlacedJob, *, named: bool) -> bool:
    return (named or reason_apart(one.job, other.job) is None) and _one_place(one, other)


def _one_place(one: PlacedJob, other: PlacedJob) -> bool:
    if one.field is not None or other.field is not None:
        return one.field is other.field
    here, there = positions(one.job.sources), positions(other.job.sources)
    if not len(here) or not len(there):
        return False
    plane = LocalPlane.centred_on(here)
    boxes = [shapely.box(*places.min(axis=0), *places.max(axis=0)) for places in map(plane.forward, (here, there))]
    return bool(shapely.dwithin(*boxes, CLOSE_BY_M))


def reason_apart(one: Job, other: Job) -> str | None:
    """Return why two jobs are not one operation, None where they are."""
    if one.practice and other.practice and one.practice != other.practice:
        return f"they are different practices ({', '.join(sorted((one.practice, other.practice)))})"
    if one.products and other.products and one.products.isdisjoint(other.products):
        return f"they apply different products ({', '.join(sorted((_listed(one), _listed(other))))})"
    days = _days_between(one, other)
    if days is not None and days > APART_DAYS:
        return f"they are {days} days apart"
    same = (one.practice and one.practice == other.practice) or one.products & other.products
    if same or one.machines == other.machines:
        return None
    return "different machines did them, and neither a product nor a practice shows that it was the same work"


def _listed(job: Job) -> str:
    return " and ".join(sorted(job.products))


def _days_between(one: Job, other: Job) -> int | None:
    """Return the whole days between the end of the earlier job and the start of the later, None without times."""
    spans = []
    for job in (one, other):
        stamps = [source.records.time[~np.isnat(source.records.time)] for source in job.sources]
        stamps = [part for part in stamps if len(part)]
        if not stamps:
            return None
        spans.append((min(part.min() for part in stamps), max(part.max() for part in stamps)))
    gap = max(spans[0][0], spans[1][0]) - min(spans[0][1], spans[1][1])
    return max(0, int(gap / np.timedelta64(1, "D")))


def _apart(item: PlacedJob, group: Sequence[PlacedJob], groups: Sequence[Sequence[PlacedJob]]) -> Iterator[Finding]:
    """Yield why a job stays apart from those of other groups in the same place."""
    for other in (other for others in groups if others is not group for other in others):
        reason = reason_apart(item.job, other.job)
        if reason is not None and _one_place(item, other):
            yield KEPT_APART.at(item.job.place, name=item.job.id, others=other.job.id, reason=reason)

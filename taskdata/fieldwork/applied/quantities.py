"""What was applied in all, a quantity of a product each, as pieces of ground with a rate.

Rates of parts that work beside each other are one quantity: together they are what the ground got. Rates of parts that
work the same ground, such as two tanks, stay apart unless the task says that they held one product.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from typing import Any

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.applied.channels import (
    Channel,
    RatePieces,
    channels,
    columns_of_rate,
    quads_of,
    rate_pieces,
)
from taskdata.fieldwork.applied.products import product_of
from taskdata.fieldwork.applied.rate_plans import RatePlan, Wanted, rate_plan
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry.plane import LocalPlane
from taskdata.model.tasks import Task
from taskdata.results.applied import AppliedQuantity


@dataclass(eq=False)
class _Group:
    """A quantity of a product: the parts that deliver it, what they work, and its pieces."""

    ddi: int
    product: str | None
    parts: dict[str | None, set[tuple[int, int]]] = field(default_factory=dict)
    found: list[tuple[LogWork, RatePieces]] = field(default_factory=list)

    def takes(self, part: str | None, ground: set[tuple[int, int]]) -> bool:
        """Tell whether a part belongs here: it is of one product with the others, or works beside them."""
        others = (worked for other, worked in self.parts.items() if other != part)
        return self.product is not None or all(worked.isdisjoint(ground) for worked in others)


def planned_quantities(
    works: Sequence[tuple[LogWork, Task | None]], plane: LocalPlane, outline: Any
) -> list[tuple[AppliedQuantity, RatePlan | None]]:
    """Return what works of tasks applied, in the order of the logs, each with the rate map that it was meant by.

    Without any rate it is the swept ground alone. Of several tasks one may have a map: what others applied beside it
    cannot be told apart.

    Parameters
    ----------
    outline : shape or None
        The field in the plane.
    """
    groups: list[_Group] = []
    for channel in channels(work for work, _ in works):
        for number, (work, task) in enumerate(works):
            pieces = rate_pieces(work, channel)
            if pieces is None:
                continue
            ground = {(number, column) for column in columns_of_rate(work, channel.part)}
            group = _home(groups, channel, product_of(task, work, channel), ground)
            group.parts.setdefault(channel.part, set()).update(ground)
            group.found.append((work, pieces))
    tasks = list({id(task): task for _, task in works if task is not None}.values())
    found = [(item, _plan(group, tasks, plane, outline)) for group in groups if (item := _quantity(group)) is not None]
    return [(_aimed(item, plan), plan) for item, plan in found] or [
        (item, None) for item in _swept([work for work, _ in works])
    ]


def _plan(group: _Group, tasks: Sequence[Task], plane: LocalPlane, outline: Any) -> RatePlan | None:
    trees = {part: tree for work, _ in group.found for part, tree in work.source.values.trees.items()}
    wanted = Wanted(tuple(Channel(group.ddi, part) for part in group.parts), trees, group.product)
    plans = [plan for task in tasks if (plan := rate_plan(task, wanted, plane, outline)) is not None]
    return plans[0] if len(plans) == 1 else None


def _aimed(item: AppliedQuantity, plan: RatePlan | None) -> AppliedQuantity:
    """Return a quantity whose pieces without a setpoint in the log have that of the map."""
    open_ = np.isnan(item.target)
    if plan is None or not open_.any():
        return item
    target = item.target.copy()
    target[open_] = plan.at(item.quads[open_].mean(axis=1)).rate
    return replace(item, target=target)


def _home(groups: list[_Group], channel: Channel, product: str | None, ground: set[tuple[int, int]]) -> _Group:
    for group in groups:
        if (group.ddi, group.product) == (channel.ddi, product) and group.takes(channel.part, ground):
            return group
    groups.append(_Group(channel.ddi, product))
    return groups[-1]


def _quantity(group: _Group) -> AppliedQuantity | None:
    works, pieces = zip(*group.found, strict=True)
    rate, target = (np.concatenate([getattr(part, name) for part in pieces]) for name in ("rate", "target"))
    known = np.isfinite(rate)
    if not known.any():
        return None
    parts = tuple(part for part in group.parts if part is not None)
    return AppliedQuantity(group.ddi, parts, group.product, quads_of(works, pieces)[known], rate[known], target[known])


def _swept(works: Sequence[LogWork]) -> tuple[AppliedQuantity, ...]:
    quads = [work.pieces.quads for work in works if len(work.pieces.quads)]
    if not quads:
        return ()
    unknown = np.full(sum(map(len, quads)), np.nan)
    return (AppliedQuantity(None, (), None, np.concatenate(quads), unknown, unknown),)

"""Which product a rate is of: by the setpoints that were planned for its part, else the only one of the task."""

from __future__ import annotations

from collections.abc import Mapping

from taskdata.fieldwork.applied.channels import Channel, target_of
from taskdata.fieldwork.part_tree import Tree
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.model.tasks import Setpoint, Task


def product_of(task: Task | None, work: LogWork, channel: Channel) -> str | None:
    """Return the identifier of the product that a work applied at a rate; None where the task leaves it open."""
    if task is None:
        return None
    planned = [item for zone in task.zones for item in zone.setpoints] + list(task.grid.setpoints if task.grid else ())
    named = {item.product for item in planned if item.product and is_for(item, work.source.values.trees, channel)}
    if not named:
        named = set(task.products)
    return named.pop() if len(named) == 1 else None


def is_for(setpoint: Setpoint, trees: Mapping[str, Tree], channel: Channel) -> bool:
    """Tell whether a setpoint is that of a rate: of its quantity, and of its part or one above or below it.

    ``trees`` are the machines of the task by their parts; a part of none of them may be any.
    """
    if setpoint.ddi not in {channel.ddi, target_of(channel.ddi)}:
        return False
    planned, logged = (trees.get(part or "") for part in (setpoint.part, channel.part))
    if planned is None or logged is None:
        return True
    one, other = planned.part(setpoint.part), logged.part(channel.part)
    if planned is not logged or one is None or other is None:
        return False
    return one in planned.upwards(other) or other in planned.upwards(one)

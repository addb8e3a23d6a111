"""Which product a rate is of: by the setpoints that were planned for its part, else the only one of the task."""

from __future__ import annotations

from taskdata.fieldwork.applied.channels import Channel, target_of
from taskdata.fieldwork.part_tree import Tree
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.model.tasks import Setpoint, Task


def product_of(task: Task | None, work: LogWork, channel: Channel) -> str | None:
    """Return the identifier of the product that a work applied at a rate; None where the task leaves it open."""
    if task is None:
        return None
    planned = [item for zone in task.zones for item in zone.setpoints] + list(task.grid.setpoints if task.grid else ())
    named = {item.product for item in planned if item.product and is_for(item, work.tree, channel)}
    if not named:
        named = set(task.products)
    return named.pop() if len(named) == 1 else None


def is_for(setpoint: Setpoint, tree: Tree | None, channel: Channel) -> bool:
    """Tell whether a setpoint is that of a rate: of its quantity, and of its part or one above or below it."""
    if setpoint.ddi not in {channel.ddi, target_of(channel.ddi)}:
        return False
    if setpoint.part is None or channel.part is None or tree is None or setpoint.part == channel.part:
        return True
    one, other = tree.part(setpoint.part), tree.part(channel.part)
    return one is None or other is None or one in tree.upwards(other) or other in tree.upwards(one)

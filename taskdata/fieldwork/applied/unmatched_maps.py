"""Rate maps that nothing can be compared with, since logs hold another quantity than they set."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from taskdata.fieldwork.applied.channels import channels
from taskdata.fieldwork.applied.products import is_for
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.findings import Finding
from taskdata.model.tasks import Task
from taskdata.quantities.dictionary import entry
from taskdata.raised_rules.coverage.map_not_compared import RULE as MAP_NOT_COMPARED


def unmatched_maps(works: Sequence[tuple[LogWork, Task | None]]) -> Iterator[Finding]:
    """Yield a note for each task whose logs hold rates, none of them that of its map."""
    for task in {id(task): task for _, task in works if task is not None}.values():
        own = [work for work, other in works if other is task]
        logged = channels(own)
        meant = [item for zone in task.zones if zone.areas or task.grid is not None for item in zone.setpoints]
        trees = {part: tree for work in own for part, tree in work.source.values.trees.items()}
        if meant and logged and not any(is_for(item, trees, channel) for item in meant for channel in logged):
            what, others = _named(item.ddi for item in meant), _named(channel.ddi for channel in logged)
            yield MAP_NOT_COMPARED.at(task.place, name=task.id, what=what, others=others)


def _named(ddis: Iterable[int]) -> str:
    return " and ".join(dict.fromkeys(entry(ddi).plain_name for ddi in ddis))

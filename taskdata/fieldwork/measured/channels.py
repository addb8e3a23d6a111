"""The measured quantity that a user means, among those that logs hold."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from taskdata.errors import UsageError
from taskdata.fieldwork.applied.channels import BY_AREA, Channel
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.model.dataset import Dataset
from taskdata.quantities.dictionary import Entry, ddi_number, entry

BY_TIME = {86: 83, 87: 84, 88: 85, 182: 181, 187: 185, 188: 186}
"""Yields by time, and the yield by area that they are on the ground swept meanwhile."""

COUNTERS = {83: (89, 1e3), 84: (90, 1e6), 85: (91, 1.0), 181: (183, 1e6), 185: (189, 1e6), 186: (190, 1e6)}
"""The machine's total of each yield by area, and how many units of product are in one of its."""

_NUMBERS = frozenset({"actual", "average", "other"})
_MEASURED = frozenset({"rate", "yield", "sensor", "geometry", "other"})


def measured_channels(works: Sequence[LogWork], wanted: str) -> list[Channel]:
    """Return the quantity that is meant by its number, its name or words of it, of each part that measured it.

    Of several that fit a yield by area goes before one by time, and both before others.

    Raises
    ------
    UsageError
        Several fit as well.
    """
    held = dict.fromkeys(Channel(ddi, part) for work in works for ddi, part in work.source.values.parts(range(1 << 16)))
    found = [channel for channel in held if _is_measured(entry(channel.ddi)) and _fits(entry(channel.ddi), wanted)]
    best = min((_rank(channel.ddi) for channel in found), default=0)
    names = dict.fromkeys(channel.ddi for channel in found if _rank(channel.ddi) == best)
    if len(names) > 1:
        listed = ", ".join(f"{entry(ddi).plain_name} ({ddi:04X})" for ddi in names)
        raise UsageError("names several measured quantities", where=wanted, remedy=f"Choose one of: {listed}")
    return [channel for channel in found if channel.ddi in names]


def unmeasured(dataset: Dataset, wanted: str, tasks: Collection[str]) -> UsageError:
    """Return the error of a quantity that the logs of tasks do not hold, or that no part measured while it worked."""
    logs = [log for task in dataset.tasks for log in task.logs if task.id in tasks]
    held = [entry(ddi) for ddi in {item.ddi for log in logs for item in log.quantities}]
    fitting = [item for item in held if _is_measured(item) and _fits(item, wanted)]
    others = sorted({item.plain_name for item in held if _is_measured(item) and item not in fitting})
    listed = f": {', '.join(others)}" if others else ""
    if fitting:
        what = "was logged, but not by a part that swept ground"
        return UsageError(what, where=wanted, remedy=f"Choose another quantity{listed}")
    remedy = f"Logs hold{listed}" if others else "No log of this source holds one"
    return UsageError("is no measured quantity of these tasks", where=wanted, remedy=remedy)


def _is_measured(item: Entry) -> bool:
    return bool(item.resolution and item.unit and item.group in _MEASURED and item.kind in _NUMBERS)


def _rank(ddi: int) -> int:
    item = entry(ddi)
    return 0 if item.unit in BY_AREA else 1 if ddi in BY_TIME else 2


def _fits(item: Entry, wanted: str) -> bool:
    words, name = wanted.casefold().split(), item.plain_name.casefold().split()
    number = ddi_number(wanted) if len(wanted) == 4 else None
    return item.ddi == number or bool(words and set(words) <= set(name))

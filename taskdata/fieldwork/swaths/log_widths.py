"""Logs of positions with the width that a machine worked: values of the log, and a machine of that width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import ACTUAL_WIDTH, WORK_STATE
from taskdata.fieldwork.swaths.implement_of import bar_of, implement_of
from taskdata.model.dataset import Dataset
from taskdata.model.logs import Log, Logged, LogRecords
from taskdata.model.machines import Machine


@dataclass(frozen=True, eq=False)
class WidthsOfLog:
    """What a layer of positions says of the width at each.

    Parameters
    ----------
    name : str
        Of the task that the layer becomes.
    width_m : float64 (n,)
        Metres, NaN where a row has none.
    working : bool (n,) or None
        Whether the machine works; None where nothing says it.
    """

    name: str
    width_m: NDArray[np.float64]
    working: NDArray[np.bool_] | None = None


def with_widths(dataset: Dataset, logs: Sequence[WidthsOfLog]) -> Dataset:
    """Return a data set whose logs of positions hold widths and work states, each of a machine of its greatest width.

    Parameters
    ----------
    logs : sequence of WidthsOfLog
        In the order of the tasks; what belongs to no task of its name is left out.
    """
    tasks, machines, at = list(dataset.tasks), list(dataset.machines), 0
    for said in logs:
        found = next((number for number in range(at, len(tasks)) if tasks[number].name == said.name), None)
        if found is None:
            continue
        at, (log,) = found + 1, tasks[found].logs
        machine = implement_of(float(np.nanmax(said.width_m)), machines)
        machines += [machine] if machine not in machines else []
        tasks[found] = replace(tasks[found], logs=(_with_values(log, said, machine),))
    return dataset.with_changes(tasks=tuple(tasks), machines=tuple(machines))


def _with_values(log: Log, said: WidthsOfLog, machine: Machine) -> Log:
    bar = bar_of(machine)
    columns = [(ACTUAL_WIDTH, np.round(1000.0 * said.width_m))]
    columns += [] if said.working is None else [(WORK_STATE, said.working.astype(np.float64))]
    quantities = tuple(Logged(ddi, bar.id, part_name=bar.name) for ddi, _ in columns)
    return replace(log, quantities=quantities, read=lambda: _filled(log, [values for _, values in columns]))


def _filled(log: Log, columns: Sequence[NDArray[np.float64]]) -> LogRecords | None:
    """Return the records of a log with columns of values, each where it is new."""
    records = log.records
    if records is None:
        return None
    changes = [_changes(values) for values in columns]
    record = np.concatenate(changes)
    order = np.argsort(record, kind="stable")
    index = np.repeat(np.arange(len(columns)), [len(found) for found in changes])
    value = np.concatenate([values[found] for values, found in zip(columns, changes, strict=True)])
    return replace(
        records,
        value_record=record[order].astype(np.int64),
        value_index=index[order].astype(np.uint8),
        value=value[order].astype(np.int32),
    )


def _changes(values: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return where a value is known and differs from the one that was known before."""
    known: NDArray[np.intp] = np.flatnonzero(np.isfinite(values))
    new = np.ones(len(known), dtype=np.bool_)
    new[1:] = values[known[1:]] != values[known[:-1]]
    return known[new]

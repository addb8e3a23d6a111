"""Work states that were asked for (DDI 289, 290 to 305), for logs that hold none that were reported.

A section goes on so much after it was told to as DDI 205 states, and off so much after as DDI 206 states, in
milliseconds; where a part states neither, the setpoint delay (142) counts, else none. A command of 3 changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.fieldwork.logs.logged_values import (
    COMMANDED_CONDENSED,
    COMMANDED_STATE,
    SETPOINT_DELAY,
    Flags,
    Integers,
    Values,
)
from taskdata.fieldwork.machine.part_channels import columns_of, concerns
from taskdata.fieldwork.part_tree import Tree
from taskdata.geometry.arrays import Floats
from taskdata.model.machines import Part

TURN_ON, TURN_OFF = 205, 206
_ON, _NO_CHANGE = 1, 3
_PER_VALUE = 16


def commanded(values: Values, tree: Tree | None, sections: Sequence[Part | None], on: Flags) -> bool:
    """Switch sections off where they, or what is above them, were told to be off; tell whether the log says so at all.

    Parameters
    ----------
    on : ndarray
        (n, k) bool, changed in place.
    """
    told = False
    for column, section in enumerate(sections):
        for part, state in _commands(values, tree, sections, column):
            asked = _asked(state)
            on[:, column] &= delayed(asked, values.seconds, *_delays(values, section or part))
            told = True
    return told


def delayed(on: Flags, seconds: Floats | None, on_s: float, off_s: float) -> Flags:
    """Return the state at each record, (n,), where going on and going off take a time after the command.

    Parameters
    ----------
    on : ndarray
        (n,) what was asked for at each record.
    seconds : ndarray or None
        (n,) the time of each record; without it nothing is moved.
    on_s, off_s : float
        Seconds from the command to its effect.
    """
    if seconds is None or not len(on) or not (on_s or off_s):
        return on
    change = np.concatenate([[0], np.flatnonzero(on[1:] != on[:-1]) + 1])
    effective = seconds[change] + np.where(on[change], on_s, off_s)
    effective[0] = -np.inf
    order = np.argsort(effective, kind="stable")
    latest = np.maximum.accumulate(change[order])
    place = np.searchsorted(effective[order], seconds + 1e-6, side="right") - 1
    return np.asarray(on[latest[place]])


def _commands(
    values: Values, tree: Tree | None, sections: Sequence[Part | None], column: int
) -> Iterator[tuple[Part | None, Integers]]:
    """Yield what a section, and each part above it, was told, (n,) raw states; -1 before the first command."""
    section = sections[column]
    for part in () if tree is None or section is None else tree.upwards(section):
        held = values.held(COMMANDED_STATE, part.id)
        if held is not None:
            yield part, np.where(held.known, held.value & 3, -1)
    for ddi, carrier in values.parts(COMMANDED_CONDENSED):
        held = values.held(ddi, carrier) if concerns(values, tree, sections, carrier) else None
        columns = columns_of(values, tree, sections, carrier)
        first = (ddi - COMMANDED_CONDENSED.start) * _PER_VALUE
        if held is None or column not in columns[first : first + _PER_VALUE]:
            continue
        place = columns.index(column) - first
        yield None, np.where(held.known, ((held.value & 0xFFFFFFFF) >> 2 * place) & 3, -1)


def _asked(state: NDArray[np.int64]) -> Flags:
    """Return whether a section was told to be on, at each record; a command of no change leaves the one before."""
    given = np.where(state == _NO_CHANGE, 0, np.arange(len(state)))
    return np.asarray(state[np.maximum.accumulate(given)] == _ON) if len(state) else np.zeros(0, dtype=np.bool_)


def _delays(values: Values, part: Part | None) -> tuple[float, float]:
    """Return the seconds that going on and going off take."""
    if part is None:
        return 0.0, 0.0
    general = values.stated(part, SETPOINT_DELAY) or 0.0
    found = [values.stated(part, ddi) for ddi in (TURN_ON, TURN_OFF)]
    return (general if found[0] is None else found[0]), (general if found[1] is None else found[1])

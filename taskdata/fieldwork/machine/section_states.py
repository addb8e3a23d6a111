"""When each section worked, by hierarchy: a section works only while nothing above it is off.

Work states are DDI 141 (one part: 0 off, 1 on, 2 error, 3 not installed) and 161 to 176 (condensed: 16 sections each,
two bits a section, the leftmost section in the lowest two, the value taken as unsigned). What is in error counts as
off. Where a log holds no work state, the work states that were commanded tell, then the actual width, then an actual
rate above zero; where it holds none of these, every record counts as work.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import ACTUAL_WIDTH, CONDENSED, RATES, WORK_DDIS, WORK_STATE, Flags, Values
from taskdata.fieldwork.machine.commanded_states import commanded
from taskdata.fieldwork.machine.part_channels import columns_of, concerns
from taskdata.fieldwork.machine.working_bars import left_to_right
from taskdata.fieldwork.part_tree import Tree
from taskdata.model.machines import Part, PartKind

_PER_VALUE = 16
_ON, _ERROR, _ABSENT = 1, 2, 3


class Basis(StrEnum):
    """What tells when work was done."""

    STATES = "work states"
    COMMANDS = "commanded work states"
    WIDTH = "actual width"
    RATE = "actual rate"
    ALWAYS = "every record"


@dataclass(frozen=True, eq=False)
class States:
    """Which of k sections worked at n records.

    Parameters
    ----------
    on : ndarray
        (n, k) bool; a state holds until the next record.
    basis : Basis
    errors : int
        Records at which a work state was in error.
    """

    on: Flags
    basis: Basis
    errors: int = 0


def states(values: Values, tree: Tree | None, parts: Sequence[Part | None]) -> States:
    """Return when sections worked.

    Parameters
    ----------
    tree : Tree or None
        The machine; None where nothing describes it.
    parts : sequence of Part or None
        Its sections from left to right; a None works when any section of the machine does.
    """
    sections = _described(values, tree, parts)
    on = np.ones((values.count, len(sections)), dtype=np.bool_)
    wrong = np.zeros(values.count, dtype=np.bool_)
    told = _singles(values, tree, sections, on, wrong)
    told |= _condensed(values, tree, sections, on, wrong)
    basis = Basis.STATES
    if not told and commanded(values, tree, sections, on):
        basis = Basis.COMMANDS
    elif not told:
        basis = _without_states(values, tree, sections, on)
    if len(sections) != len(parts) or any(part is None for part in parts):
        on = np.tile(on.any(axis=1, keepdims=True), (1, len(parts)))
    return States(on, basis, int(wrong.sum()))


def _described(values: Values, tree: Tree | None, parts: Sequence[Part | None]) -> tuple[Part | None, ...]:
    """Return the sections that states are told of: the parts themselves, or for a bar by hand those of its machine."""
    if tree is not None and any(part is None for part in parts):
        found = left_to_right(values, tree.machine.sections)
        functions = tuple(part for part in tree.machine.parts if part.kind is PartKind.FUNCTION)
        return found or functions or (tree.root,)
    return tuple(parts)


def _singles(values: Values, tree: Tree | None, sections: Sequence[Part | None], on: Flags, wrong: Flags) -> bool:
    """Switch sections off where they or what is above them is off."""
    told = False
    channels = {part for _, part in values.parts([WORK_STATE])}
    strays = [part for part in channels if part not in values.trees]
    for column, section in enumerate(sections):
        above = [] if tree is None or section is None else [part.id for part in tree.upwards(section)]
        for part in (*above, *strays):
            held = values.held(WORK_STATE, part) if part in channels else None
            if held is None:
                continue
            state = held.value & 3
            absent_above = (state == _ABSENT) & (section is None or part != section.id)
            told |= not bool(absent_above[held.known].all())
            on[:, column] &= held.known & ((state == _ON) | absent_above)
            wrong |= held.known & (state == _ERROR)
    return told


def _condensed(values: Values, tree: Tree | None, sections: Sequence[Part | None], on: Flags, wrong: Flags) -> bool:
    told = False
    for ddi, carrier in values.parts(CONDENSED):
        held = values.held(ddi, carrier) if concerns(values, tree, sections, carrier) else None
        if held is None:
            continue
        told = True
        raw = held.value & 0xFFFFFFFF
        columns = columns_of(values, tree, sections, carrier)
        first = (ddi - CONDENSED.start) * _PER_VALUE
        if not any(column is not None for column in columns):
            bits = np.stack([(raw >> 2 * place) & 3 for place in range(_PER_VALUE)])
            on &= (held.known & (bits == _ON).any(axis=0))[:, np.newaxis]
            continue
        for place, column in enumerate(columns[first : first + _PER_VALUE]):
            if column is None:
                continue
            state = (raw >> 2 * place) & 3
            on[:, column] &= held.known & (state == _ON)
            wrong |= held.known & (state == _ERROR)
    return told


def _without_states(values: Values, tree: Tree | None, sections: Sequence[Part | None], on: Flags) -> Basis:
    """Switch everything off where actual widths, or actual rates, are zero; return what told."""
    for basis, ddis in ((Basis.WIDTH, {ACTUAL_WIDTH}), (Basis.RATE, RATES)):
        channels = [channel for channel in values.parts(ddis) if concerns(values, tree, sections, channel[1])]
        held = [found for channel in channels if (found := values.held(*channel)) is not None]
        positive = [found.known & (found.value > 0) for found in held]
        if positive and not bool(np.all(positive)):
            on &= np.any(np.stack(positive), axis=0, keepdims=True).T
            return basis
    return Basis.ALWAYS


def tells_work(values: Values, tree: Tree, parts: Sequence[Part | None]) -> bool:
    """Tell whether a log says of some parts of a machine, or of what is above or below them, when they work."""
    channels = values.parts(WORK_DDIS)
    return any(part in values.trees and concerns(values, tree, parts, part) for _, part in channels)

"""What works in a log: the bars of its machines that have states or rates of their own there.

Bars that lie side by side, such as a front mower and the two wings behind, or the booms of two machines, make up one
operation: their ground is counted together. Bars over the same strip, such as a drill behind a seed-bed combination,
follow each other: each is an operation of its own, since ground that both worked is worked once by each. A bar belongs
to the same strip as others when they share more than half of its width; the widest comes first, of equal ones the
rearmost.

A machine with a bar of which the log holds neither work state, width nor rate is left out, unless none has one: then it
is the widest that the log names at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import Values
from taskdata.fieldwork.machine.section_states import tells_work
from taskdata.fieldwork.machine.working_bars import SAME_GROUND, Bar, bars
from taskdata.fieldwork.part_tree import Tree
from taskdata.model.lookup import Named, matching, one_of

T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class Tool:
    """A bar that works on its own, and the machine that it belongs to."""

    tree: Tree
    bar: Bar

    @property
    def names(self) -> tuple[str, ...]:
        """Identifier and name of the machine and of the part that carries the bar, in small letters."""
        machine, carrier = self.tree.machine, self.bar.carrier
        found = (machine.id, machine.name, None if carrier is None else carrier.id, carrier and carrier.name)
        return tuple(name.strip().casefold() for name in found if name)


@dataclass(frozen=True, eq=False)
class Tools:
    """The tools that work in a log, and those that are left out because the log says nothing of their work."""

    working: tuple[Tool, ...]
    left_out: tuple[Tool, ...] = ()


def tools(values: Values, trees: Iterable[Tree], device: str | None = None) -> Tools:
    """Return what works in a log.

    Parameters
    ----------
    values : Values
        Of the log.
    trees : iterable of Tree
        The machines of the task.
    device : str, optional
        Only this machine or part, by identifier or name, whatever the log says of its work.
    """
    found = [Tool(tree, item) for tree in trees for item in bars(values, tree)]
    if device is not None:
        return Tools(tuple(tool for tool in found if device.strip().casefold() in tool.names))
    told = tuple(tool for tool in found if tells_work(values, tool.tree, tool.bar.parts))
    if not told and found:
        named = {quantity.part for quantity in values.quantities}
        told = (
            max(found, key=lambda tool: (any(part.id in named for part in tool.tree.machine.parts), tool.bar.width)),
        )
    return Tools(told, tuple(tool for tool in found if tool not in told))


def check_device(machines: Iterable[Tree], device: str | None) -> None:
    """Refuse a device that the set does not have.

    Raises
    ------
    UsageError
        Names those that there are.
    """
    known: list[Named] = []
    for tree in machines:
        known += [tree.machine, *tree.machine.parts]
    if device is not None and not matching(known, device):
        one_of(known, device, "machine or part of one")


def in_operations(
    items: Sequence[T], bars_: Sequence[Bar], right: Sequence[float], ahead: Sequence[float]
) -> list[list[T]]:
    """Return what lies side by side together, and what lies over the same strip apart.

    Parameters
    ----------
    items : sequence
        What the bars stand for.
    bars_ : sequence of Bar
    right, ahead : sequence of float
        Where the reference point of each bar lies from the antenna when driving straight on, metres.
    """
    reached = [spans(bar, shift) for bar, shift in zip(bars_, right, strict=True)]
    places = [place + float(np.mean(bar.middle[0])) for bar, place in zip(bars_, ahead, strict=True)]
    order = sorted(range(len(items)), key=lambda index: (-round(bars_[index].width, 2), places[index]))
    found: list[list[int]] = []
    for index in order:
        reach = sum(end - start for start, end in reached[index])
        for group in found:
            others = [span for other in group for span in reached[other]]
            if shared(reached[index], others) <= SAME_GROUND * reach:
                group.append(index)
                break
        else:
            found.append([index])
    return [[items[index] for index in group] for group in found]


def shared(one: Sequence[tuple[float, float]], two: Sequence[tuple[float, float]]) -> float:
    """Return the width that two lists of spans have in common."""
    return sum(max(0.0, min(a[1], b[1]) - max(a[0], b[0])) for a in one for b in two)


def spans(bar: Bar, right: float) -> list[tuple[float, float]]:
    """Return from where to where the elements of a bar reach whose reference point lies so many metres right."""
    left, most = (np.atleast_2d(side).mean(axis=0) + right for side in (bar.left, bar.right))
    return list(zip(left.tolist(), most.tolist(), strict=True))


def together(spans: Iterable[tuple[float, float]]) -> float:
    """Return the width that spans cover together."""
    total, reached = 0.0, -np.inf
    for left, right in sorted(spans):
        total += max(0.0, right - max(left, reached))
        reached = max(reached, right)
    return float(total)

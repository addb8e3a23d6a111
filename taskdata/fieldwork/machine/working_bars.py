"""The working elements of a machine side by side: their edges from left to right, and how far forward they lie.

Sections with a width make the bar; a machine without them works with its functions, or else as a whole. Geometry
outranks numbering: sections stand in the order of their offsets to the right; where one of them gives none, they lie
side by side in the order of their numbers, about the middle of what carries them.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import WORK_DDIS, Values
from taskdata.fieldwork.machine.part_measures import Metres, offset_x, offset_y, width
from taskdata.fieldwork.part_tree import Tree
from taskdata.geometry.arrays import Floats
from taskdata.model.machines import Part, PartKind

_CARRIERS = (PartKind.FUNCTION, PartKind.DEVICE)
SAME_GROUND = 0.5
"""Bars that share more than this part of the narrower one lie over the same strip."""


@dataclass(frozen=True, eq=False)
class Bar:
    """Working elements from left to right, in metres from the reference point of their machine.

    Parameters
    ----------
    parts : tuple of Part or None
        The k elements; None stands for an implement that is given by hand.
    left, right, forward : ndarray
        (k,), or (n, k) where they change from record to record.
    aside : tuple of Part
        Booms left out because they work the same ground as a wider one, and nothing tells when they do.
    carrier : Part or None
        What carries the elements; None for an implement that is given by hand.
    """

    parts: tuple[Part | None, ...]
    left: Floats
    right: Floats
    forward: Floats
    aside: tuple[Part, ...] = ()
    carrier: Part | None = None

    @property
    def width(self) -> float:
        """From the outermost left to the outermost right edge, metres; the widest it ever is."""
        return float(np.max(self.right.max(axis=-1) - self.left.min(axis=-1)))

    @property
    def middle(self) -> tuple[Metres, Metres]:
        """How far forward and right the middle of the bar lies."""
        ahead = self.forward.mean(axis=-1)
        across = (self.left.min(axis=-1) + self.right.max(axis=-1)) / 2.0
        return (ahead, across) if self.left.ndim == 2 or self.forward.ndim == 2 else (float(ahead), float(across))


@dataclass(frozen=True, eq=False)
class _Element:
    part: Part
    left: Metres
    right: Metres
    forward: Metres


def bars(values: Values, tree: Tree) -> list[Bar]:
    """Return the bars of a machine, the widest first; none where nothing says how wide it is.

    Booms side by side make one bar. One that lies over the same strip as a wider one is a bar of its own where the log
    holds states or rates of it, and is left aside where it does not.
    """
    kept: list[list[tuple[Part, list[_Element]]]] = []
    aside: list[Part] = []
    for carrier, elements in sorted(_groups(values, tree), key=lambda item: -_reach(item[1])):
        beside = [bar for bar in kept if not any(_over(elements, other) for _, other in bar)]
        if beside:
            beside[0].append((carrier, elements))
        elif not kept or _is_told(values, tree, carrier, elements):
            kept.append([(carrier, elements)])
        else:
            aside.append(carrier)
    return [_bar(groups, () if number else tuple(aside)) for number, groups in enumerate(kept)]


def _bar(groups: Sequence[tuple[Part, list[_Element]]], aside: tuple[Part, ...]) -> Bar:
    found = sorted((item for _, elements in groups for item in elements), key=lambda item: float(np.mean(item.left)))
    return Bar(
        tuple(item.part for item in found),
        _columns(item.left for item in found),
        _columns(item.right for item in found),
        _columns(item.forward for item in found),
        aside,
        groups[0][0],
    )


def _over(elements: Sequence[_Element], others: Sequence[_Element]) -> bool:
    """Tell whether elements lie over the same strip as others."""
    return _shared(elements, others) > SAME_GROUND * _reach(elements)


def _is_told(values: Values, tree: Tree, carrier: Part, elements: Sequence[_Element]) -> bool:
    """Tell whether the log says of a boom or of its sections when they work, and not only of what is above it."""
    own = {carrier.id, *(item.part.id for item in elements), *(part.id for part in tree.sections_below(carrier))}
    return any(part in own for _, part in values.parts(WORK_DDIS))


def by_hand(width_m: float) -> Bar:
    """Return a bar of one element about its own middle."""
    half = np.array([width_m / 2.0])
    return Bar((None,), -half, half, np.zeros(1))


def left_to_right(values: Values, sections: Iterable[Part]) -> tuple[Part, ...]:
    """Return sections by their offsets to the right; by their numbers where one of them gives none."""
    parts = tuple(sections)
    places = {part.id: offset_y(values, part) for part in parts}
    if any(place is None for place in places.values()):
        return tuple(sorted(parts, key=lambda part: part.number))
    return tuple(sorted(parts, key=lambda part: float(np.mean(places[part.id]))))  # type: ignore[arg-type]


def _groups(values: Values, tree: Tree) -> list[tuple[Part, list[_Element]]]:
    """Return what carries working elements, and these from left to right."""
    sections: dict[str, tuple[Part, list[Part]]] = {}
    for part in tree.machine.sections:
        if width(values, part) is not None:
            carrier = next((item for item in tree.upwards(part) if item.kind in _CARRIERS), part)
            sections.setdefault(carrier.id, (carrier, []))[1].append(part)
    groups = [(carrier, _side_by_side(values, tree, carrier, parts)) for carrier, parts in sections.values()]
    for kind in _CARRIERS:
        if kind is PartKind.FUNCTION or not groups:
            own = (part for part in tree.machine.parts if part.kind is kind and width(values, part) is not None)
            bare = [part for part in own if all(width(values, item) is None for item in tree.sections_below(part))]
            groups += [(part, _side_by_side(values, tree, part, [part])) for part in bare]
    return groups


def _side_by_side(values: Values, tree: Tree, carrier: Part, parts: Sequence[Part]) -> list[_Element]:
    ordered = left_to_right(values, parts)
    widths = [_known(width(values, part)) for part in ordered]
    middles = [offset_y(values, part) for part in ordered]
    if any(middle is None for middle in middles):
        start: Metres = _known(offset_y(values, carrier)) - sum(widths) / 2.0
        edges = [start]
        for size in widths:
            edges.append(edges[-1] + size)
        sides = list(itertools.pairwise(edges))
    else:
        known = [middle for middle in middles if middle is not None]
        sides = [(middle - size / 2.0, middle + size / 2.0) for middle, size in zip(known, widths, strict=True)]
    return [
        _Element(part, left, right, offset_x(values, tree, part))
        for part, (left, right) in zip(ordered, sides, strict=True)
    ]


def _known(length: Metres | None) -> Metres:
    return 0.0 if length is None else length


def _reach(elements: Sequence[_Element]) -> float:
    return sum(float(np.max(item.right - item.left)) for item in elements)


def _shared(one: Sequence[_Element], two: Sequence[_Element]) -> float:
    """Return the width that both cover."""
    spans = [(max(np.mean(a.left), np.mean(b.left)), min(np.mean(a.right), np.mean(b.right))) for a in one for b in two]
    return float(sum(max(0.0, float(end - start)) for start, end in spans))


def _columns(values: Iterable[Metres]) -> Floats:
    """Return numbers as (k,), or as (n, k) where one of them changes."""
    return np.stack(np.broadcast_arrays(*values), axis=-1).astype(np.float64)

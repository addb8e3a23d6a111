"""Which working parts a log means by what it says of a part of a machine."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.fieldwork.logs.logged_values import Values
from taskdata.fieldwork.machine.part_measures import width
from taskdata.fieldwork.machine.working_bars import left_to_right
from taskdata.fieldwork.part_tree import Tree
from taskdata.model.machines import Part, PartKind


def spoken_of(values: Values, tree: Tree, carrier: str | None) -> frozenset[Part] | None:
    """Return the working parts of a machine that a log means by what it says of a part; None = all of them.

    These are the working parts at or below it; of a part without such, as a bin, those below the next part above it
    that has some. A part that no machine of the task has means all, one of another machine none.
    """
    if carrier not in values.trees:
        return None
    part = tree.part(carrier)
    if part is None:
        return frozenset()
    functions = (item for item in tree.machine.parts if item.kind is PartKind.FUNCTION)
    wide = [item for item in functions if width(values, item) is not None]
    lines = {item: set(tree.upwards(item)) for item in (*tree.machine.sections, *wide)}
    for above in tree.upwards(part):
        below = frozenset(item for item, line in lines.items() if above in line)
        if below:
            return below
    return None


def concerns(values: Values, tree: Tree | None, sections: Sequence[Part | None], carrier: str | None) -> bool:
    """Tell whether what a log says of a part speaks of one of some sections."""
    meant = None if tree is None or None in sections else spoken_of(values, tree, carrier)
    return meant is None or not meant.isdisjoint(sections)


def columns_of(
    values: Values, tree: Tree | None, sections: Sequence[Part | None], carrier: str | None
) -> list[int | None]:
    """Return the columns of the sections that a condensed state speaks of, in its order; None for one without a width.

    None at all where it speaks of the parts of a bar that works as one.
    """
    place = {section.id: column for column, section in enumerate(sections) if section is not None}
    part = None if tree is None else tree.part(carrier)
    below = () if tree is None or part is None else left_to_right(values, tree.sections_below(part))
    if below:
        return [place.get(item.id) for item in below]
    alone = len(sections) == 1 and (tree is None or not tree.machine.sections)
    return [] if alone else list(range(len(sections)))

"""The machine that recovered passes are logged of: one bar of the recovered width, and the track of its middle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import count

from taskdata.fieldwork.logs.logged_values import ACTUAL_WIDTH, WORK_STATE
from taskdata.fieldwork.machine.part_measures import MAXIMUM_WIDTH, OFFSET_X, OFFSET_Y
from taskdata.model.machines import Machine, Part, PartKind, Quantity

OFFSET_Z = 136
_DEFAULT_REQUEST = 0xDFFF
"""What asks a device for its default set."""

_AT_THE_MIDDLE = tuple(Quantity(ddi, value=0) for ddi in (OFFSET_X, OFFSET_Y, OFFSET_Z))


def implement_of(width_m: float, machines: Iterable[Machine]) -> Machine:
    """Return a machine with one bar of a width: that of some machines, or a new one with free identifiers.

    The bar (a function) states its width (DDI 70) and lies at the reference point, where the navigation reference is
    too; logs deliver its work state (141), what of its width works (67) and how far right that lies (135).
    """
    known = tuple(machines)
    name = f"Implement of {width_m:.2f} m"
    same = next((item for item in known if item.name == name and item.serial is None), None)
    if same is not None:
        return same
    parts = _free("DET", (part.id for item in known for part in item.parts))
    root, bar, track = next(parts), next(parts), next(parts)
    return Machine(
        next(_free("DVC", (item.id for item in known))),
        name=name,
        working_width_m=round(width_m, 3),
        parts=(
            Part(root, PartKind.DEVICE, 0, 1, 0, name="Implement", quantities=(Quantity(_DEFAULT_REQUEST),)),
            _bar(bar, width_m),
            Part(track, PartKind.NAVIGATION, 2, 3, 1, name="Middle of the width", quantities=_AT_THE_MIDDLE),
        ),
    )


def _bar(identifier: str, width_m: float) -> Part:
    return Part(
        identifier,
        PartKind.FUNCTION,
        1,
        2,
        1,
        name="Working width",
        offset_x_m=0.0,
        width_m=round(width_m, 3),
        quantities=(
            Quantity(OFFSET_X, value=0),
            Quantity(OFFSET_Y),
            Quantity(OFFSET_Z, value=0),
            Quantity(MAXIMUM_WIDTH, value=round(1000.0 * width_m)),
            Quantity(ACTUAL_WIDTH),
            Quantity(WORK_STATE, default_set=True),
        ),
    )


def bar_of(machine: Machine) -> Part:
    """Return the part of such a machine that logs tell of."""
    return next(part for part in machine.parts if part.kind is PartKind.FUNCTION)


def _free(prefix: str, taken: Iterable[str]) -> Iterator[str]:
    known = set(taken)
    return (name for number in count(1) if (name := f"{prefix}{number}") not in known)

"""Which element of a machine takes a rate, by its description (DPD, settable; ISO 11783-10 D.24, D.41)."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.amounts import counted
from taskdata.errors import UsageError
from taskdata.model.lookup import label
from taskdata.model.machines import Machine, Part, PartKind
from taskdata.quantities.dictionary import entry
from taskdata.rates.map_request import WantedRate

_ORDER = (PartKind.DEVICE, PartKind.FUNCTION, PartKind.BIN, PartKind.UNIT, PartKind.SECTION)
"""Where a rate is set: as far up as can be, so that it holds for all below."""


def parts_for(machine: Machine, wanted: Sequence[WantedRate]) -> tuple[Part, ...]:
    """Return the element that takes each quantity; several products of one quantity go to as many elements in turn.

    Raises
    ------
    UsageError
        The machine takes no such quantity, or has fewer elements for it than there are products.
    """
    taken: dict[int, list[Part]] = {}
    for ddi in {item.entry.ddi for item in wanted}:
        times = sum(item.entry.ddi == ddi for item in wanted)
        taken[ddi] = _elements(machine, ddi, times)
    return tuple(taken[item.entry.ddi].pop(0) for item in wanted)


def _elements(machine: Machine, ddi: int, times: int) -> list[Part]:
    able = [part for part in machine.parts if any(item.ddi == ddi and item.settable for item in part.quantities)]
    for kind in _ORDER:
        found = [part for part in able if part.kind is kind]
        if len(found) >= times:
            return found
    name = f"{entry(ddi).plain_name} (DDI {ddi})"
    if able:
        what = f"{counted(times, 'product')} are set by {name}, and it has {counted(len(able), 'element')} for that"
        raise UsageError(what, where=label(machine), remedy="Give fewer products, or leave [[machine]] out")
    rates = sorted(
        {item.ddi for part in machine.parts for item in part.quantities if _is_rate(item.ddi) and item.settable}
    )
    offered = ", ".join(f"{item} ({entry(item).plain_name})" for item in rates)
    remedy = f"Choose another machine, or with [[quantity]] one of: {offered}" if offered else "Choose another machine"
    raise UsageError(f"cannot be set by {name}", where=label(machine), remedy=remedy)


def _is_rate(ddi: int) -> bool:
    return entry(ddi).group == "rate" and entry(ddi).kind == "setpoint"

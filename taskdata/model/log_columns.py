"""The quantities of a log as columns: which each is, who delivers it, and in what unit its values are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.model.lookup import nearest
from taskdata.quantities.dictionary import ddi_number, entry
from taskdata.quantities.presentation import Presentation
from taskdata.quantities.units import System, convert
from taskdata.records import short_repr

Shown: TypeAlias = tuple[System, Presentation | None]
"""The units of the dictionary's quantities, and how the machine shows one that the dictionary does not know."""


@short_repr
@dataclass(frozen=True, slots=True)
class LogColumn:
    """A quantity that a log holds.

    Parameters
    ----------
    name : str
        What it is, in the words of the data dictionary (ISO 11783-11).
    part : str or None
        Identifier of the device element that delivers it, such as ``DET5``.
    unit : str or None
        Unit of the physical values; empty for states, codes and bare numbers. Of a manufacturer's own quantities, which
        the dictionary does not list, it is that of the machine's presentation (ISO 11783-10, D.25); None where there is
        none either: the values are then the raw integers.
    ddi : int
        Number in the data dictionary.
    part_name : str or None
        What the machine calls the part.
    index : int
        Its place among the values of the log, from 0.
    """

    name: str
    part: str | None
    unit: str | None
    ddi: int
    part_name: str | None = None
    index: int = 0

    @property
    def label(self) -> str:
        """Name and part, such as ``Actual Work State of DET5``."""
        return f"{self.name} of {self.part}" if self.part else self.name


def column(index: int, ddi: int, part: tuple[str | None, str | None], shown: Shown) -> LogColumn:
    """Return the column of a quantity; ``part`` is the identifier and the name of the part that delivers it."""
    system, presentation = shown
    unit = convert(0, ddi, system)[1]
    if unit is None and presentation is not None:
        unit = presentation.unit
    return LogColumn(entry(ddi).plain_name, part[0], unit, ddi, part[1], index)


def physical(raw: NDArray[np.int32], ddi: int, shown: Shown) -> NDArray[np.float64]:
    """Return raw values in the unit of their column, (n,); the raw numbers where no unit is known."""
    system, presentation = shown
    values, unit = convert(raw, ddi, system)
    if unit is None and presentation is not None:
        return presentation.values(raw)
    return np.asarray(values, dtype=np.float64)


def chosen(columns: Sequence[LogColumn], quantity: str | int | LogColumn, part: str | None, log: str) -> LogColumn:
    """Return the only column of a quantity.

    Parameters
    ----------
    columns : sequence of LogColumn
        Those of the log.
    quantity : str, int or LogColumn
        Its name, some words of it in any case, its label, its number in the data dictionary (an int, or a text of four
        hexadecimal digits as in task data), or the column itself.
    part : str or None
        Identifier or name of the part; None where only one part delivers the quantity.
    log : str
        Which log, for the error.

    Raises
    ------
    UsageError
        There is none, or several.
    """
    if not isinstance(quantity, str | int | LogColumn) or not isinstance(part, str | None):
        given = quantity if isinstance(part, str | None) else part
        raise UsageError("a column is chosen by the name or number of its quantity, and a part", where=repr(given)[:60])
    if isinstance(quantity, LogColumn):
        found = [item for item in columns if item.index == quantity.index and item.ddi == quantity.ddi]
        quantity = quantity.name
    else:
        found = _of_quantity(columns, quantity)
    if part is not None:
        named = part.casefold()
        found = [item for item in found if named in {str(item.part).casefold(), str(item.part_name).casefold()}]
    if len(found) == 1:
        return found[0]
    wanted = f"{quantity:04X}" if isinstance(quantity, int) else quantity
    wanted += f" of {part}" if part is not None else ""
    if found:
        choice = ", ".join(item.label for item in found)
        raise UsageError(f"names several columns of {log}", where=wanted, remedy=f"Choose one of: {choice}")
    raise UsageError(
        f"{log} has no such column", where=wanted, remedy=nearest(wanted, (item.label for item in columns))
    )


def _of_quantity(columns: Sequence[LogColumn], quantity: str | int) -> list[LogColumn]:
    if isinstance(quantity, int):
        return [item for item in columns if item.ddi == quantity]
    number = ddi_number(quantity) if len(quantity) == 4 else None
    words = quantity.casefold().split()
    labelled = [item for item in columns if item.label.casefold().split() == words]
    if labelled:
        return labelled
    exact = [item for item in columns if item.ddi == number or item.name.casefold().split() == words]
    return exact or [item for item in columns if words and set(words) <= set(item.name.casefold().split())]

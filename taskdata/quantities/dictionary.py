"""The data dictionary of ISO 11783-11: what a data dictionary identifier (DDI) measures.

A number the dictionary does not list is never refused: it gives an entry marked unknown.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache

from taskdata.dataclass import dataclass
from taskdata.records import short_repr
from taskdata.resources import table

MANUFACTURER_FIRST = 0xE000
MANUFACTURER_LAST = 0xFFFE
_UNIT_BEHIND = re.compile(r"( as| in( gram)?)? \[.*\]$")


@short_repr
@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the dictionary.

    Parameters
    ----------
    ddi : int
        The number.
    hex : str
        The number as it stands in task data: four upper case digits.
    name : str
        Name in the dictionary, or a made one for unknown numbers.
    unit : str or None
        Unit of the physical value; None = the dictionary or this copy of it does not say.
    resolution : Decimal or None
        Physical value = raw integer x resolution; None is unknown, not 1.
    minimum, maximum : Decimal or None
        Range of display, as physical values.
    group : str
        rate, yield, geometry, state, total, content, sensor or other.
    kind : str
        setpoint, actual, default, minimum, maximum, average, total, lifetime total or other.
    basis : str
        ``text`` = read in the published dictionary, ``memory`` = remembered, empty for unknown numbers.
    note : str
        What else is known.
    known : bool
        False when the dictionary does not list the number.
    """

    ddi: int
    hex: str
    name: str
    unit: str | None
    resolution: Decimal | None
    minimum: Decimal | None
    maximum: Decimal | None
    group: str
    kind: str
    basis: str
    note: str
    known: bool = True

    @property
    def plain_name(self) -> str:
        """The name without the unit that the dictionary puts behind some names: numbers are shown in another one."""
        return _UNIT_BEHIND.sub("", self.name)


def entry(ddi: int) -> Entry:
    """Return what the dictionary says of ``ddi``, or an entry marked unknown; never fails."""
    listed = entries().get(ddi)
    if listed is not None:
        return listed
    return _unlisted(ddi)


@cache
def entries() -> dict[int, Entry]:
    """Return every listed entry by its number, the manufacturers' range left out."""
    rows = (_entry(row) for row in table("ddi"))
    return {item.ddi: item for item in rows if not _of_manufacturer(item.ddi)}


def ddi_number(text: str) -> int | None:
    """Return the number of a DDI written as four hexadecimal digits, or fewer; None when the text is none."""
    return int(text, 16) if re.fullmatch("[0-9A-Fa-f]{1,4}", text) else None


def _of_manufacturer(ddi: int) -> bool:
    return MANUFACTURER_FIRST <= ddi <= MANUFACTURER_LAST


def _unlisted(ddi: int) -> Entry:
    digits = f"{ddi:04X}"
    if _of_manufacturer(ddi):
        name, note = f"manufacturer's DDI {digits}", "meaning, unit and resolution are the manufacturer's own"
    else:
        name, note = f"unknown DDI {digits}", "not in the dictionary"
    return Entry(ddi, digits, name, None, None, None, None, "other", "other", "", note, known=False)


def _entry(row: dict[str, str]) -> Entry:
    return Entry(
        ddi=int(row["ddi"]),
        hex=row["hex"],
        name=row["name"],
        unit=row["unit"] or None,
        resolution=_decimal(row["resolution"]),
        minimum=_decimal(row["min_display"]),
        maximum=_decimal(row["max_display"]),
        group=row["group"],
        kind=row["kind"],
        basis=row["basis"],
        note=row["note"],
    )


def _decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None

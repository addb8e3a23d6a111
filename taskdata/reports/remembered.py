"""Says which numbers rest on rows of the data dictionary whose unit or step is from memory."""

from __future__ import annotations

from collections.abc import Iterable

from taskdata.quantities.dictionary import entry
from taskdata.reports.styled import Line, wrapped

MEMORY = "memory"


def basis_of(ddi: int, unit: str | None) -> str | None:
    """Return what unit and step of a shown number rest on: ``text`` or ``memory``.

    None where the number is the stored one, which neither unit nor step can make wrong: codes, states, unknown DDIs.
    """
    return entry(ddi).basis or None if unit else None


def remembered_lines(ddis: Iterable[int]) -> list[Line]:
    """Return the paragraph that names the quantities whose unit or step is from memory; empty where there are none.

    Parameters
    ----------
    ddis : iterable of int
        The quantities that a report shows by the dictionary, in any order and number.
    """
    names = dict.fromkeys(entry(ddi).plain_name for ddi in sorted(set(ddis)) if entry(ddi).basis == MEMORY)
    if not names:
        return []
    text = (
        f"Unit and resolution are from memory, not taken from the published data dictionary, for: {', '.join(names)}. "
        "Compare a number with the machine's display before you rely on it."
    )
    return wrapped(text, style="note")

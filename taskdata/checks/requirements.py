"""What the standard asks beyond the single element and attribute: one numbered sentence each, in words of our own.

The numbers (``R-001``) stand in ``covers`` of the rules that look at them. The normative text is the standard.
"""

from __future__ import annotations

from functools import cache

from taskdata.dataclass import dataclass
from taskdata.resources import table


@dataclass(frozen=True, slots=True)
class Requirement:
    """One thing that the standard asks.

    Parameters
    ----------
    number : str
        Such as ``R-167``.
    topic : str
        What it is about.
    clause : str
        Clause or annex of ISO 11783-10.
    text : str
        The sentence; ``(judged)`` marks what was concluded where the standard is silent, ``(memory)`` what was
        remembered.
    instead : str
        What takes care of it where no rule does, or why nothing can; blank where rules do.
    """

    number: str
    topic: str
    clause: str
    text: str
    instead: str


@cache
def requirements() -> dict[str, Requirement]:
    """Return everything that the standard asks by its number, in the order of the topics."""
    return {row["number"]: Requirement(**row) for row in table("requirements")}

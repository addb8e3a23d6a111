"""The journal of a cleaning: every change with what was, what is, and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

Value: TypeAlias = str | int | float | None

ASIDE = "kept aside"
"""What a file is after it was taken out of the set."""


class Standing(StrEnum):
    """``safe``: no information changes. ``review``: a choice was made that a person may want to see."""

    SAFE = "safe"
    REVIEW = "review"


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the journal.

    Parameters
    ----------
    rule : str
        The rule whose finding goes away.
    standing : Standing
        How much was decided.
    element, path, file : str or None
        Where: nearest identifier, XPath, file as stored.
    before, after : value
        What was and what is; None = nothing.
    reason : str
        Why this is the repair.
    """

    rule: str
    standing: Standing
    element: str | None
    path: str | None
    file: str | None
    before: Value
    after: Value
    reason: str


def counted(number: int, word: str) -> str:
    """Return a number with the word for what it counts, in the singular for 1."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"

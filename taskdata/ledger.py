"""The ledger of losses: what a target cannot hold, named before anything is written."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class LossKind(StrEnum):
    """What happens to the thing: it is left out, it changes, or it comes near enough."""

    DROPPED = "dropped"
    CHANGED = "changed"
    APPROXIMATED = "approximated"


@dataclass(frozen=True, slots=True)
class Loss:
    """One line of the ledger.

    Parameters
    ----------
    kind : LossKind
        What happens.
    element : str or None
        Identifier of the element concerned, None for the whole set.
    what, why : str
        The thing in plain words, and the reason.
    """

    kind: LossKind
    element: str | None
    what: str
    why: str

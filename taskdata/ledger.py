"""The ledger of losses: what a target cannot hold, named before anything is written."""

from __future__ import annotations

from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


class LossKind(StrEnum):
    """What happens to the thing: it is left out, it changes, or it comes near enough."""

    DROPPED = "dropped"
    CHANGED = "changed"
    APPROXIMATED = "approximated"


@short_repr
@dataclass(frozen=True, slots=True)
class Loss:
    """One line of the ledger; as a text it is a sentence.

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

    def __str__(self) -> str:
        whose = f"{self.element}: " if self.element is not None and self.element not in self.what else ""
        return f"{self.kind}: {whose}{self.what}: {self.why}."


@short_repr
@dataclass(frozen=True, slots=True)
class Refusal(Loss):
    """A value that somebody typed and that cannot be stored; who writes refuses the whole.

    Parameters
    ----------
    where : str
        The row, or the record, in words.
    column, value, takes : str
        The column or attribute, the value as typed, and what it takes.
    file : str or None
        The layer of the row.
    record : int or None
        Number of the row, counted from 0.
    """

    where: str
    column: str
    value: str
    takes: str
    file: str | None = None
    record: int | None = None


def refusal(
    element: str | None, where: str, column: str, value: object, takes: str, *, row: tuple[str, int] | None = None
) -> Refusal:
    """Return a refusal; ``row`` is the layer and the number of the row, counted from 0."""
    shown = "empty" if value is None else str(value) if isinstance(value, int | float) else repr(value)
    file, record = row or (None, None)
    what, why = f"{column} {shown} of {where}", f"it should be {takes}"
    return Refusal(LossKind.DROPPED, element, what, why, where, column, shown, takes, file, record)

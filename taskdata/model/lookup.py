"""One record out of many, by its identifier or its name as people type it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol, TypeVar

from taskdata.errors import UsageError

_SHOWN = 10
_NEAR = 3
_ALIKE, _CLOSE = 0.6, 0.15


class Named(Protocol):
    """A record with an identifier and perhaps a name."""

    @property
    def id(self) -> str | None:
        """The identifier."""

    @property
    def name(self) -> str | None:
        """The name."""


Record = TypeVar("Record", bound=Named)


def matching(records: Sequence[Record], wanted: str) -> list[Record]:
    """Return the records with an identifier or name: as it is written, else in any case; none where there is none.

    Raises
    ------
    UsageError
        What is wanted is no text.
    """
    if not isinstance(wanted, str):
        raise UsageError("a record is chosen by its identifier or name, a text", where=repr(wanted)[:60])
    for read, attribute in (
        (_as_written, "id"),
        (_as_written, "name"),
        (_in_any_case, "id"),
        (_in_any_case, "name"),
    ):
        found = [item for item in records if read(getattr(item, attribute)) == read(wanted)]
        if found:
            return found
    return []


def one_of(records: Sequence[Record], wanted: str, what: str, *, also: str = "") -> Record:
    """Return the record with an identifier or name: as it is written, else in any case.

    Parameters
    ----------
    records : sequence of record
        To choose from.
    wanted : str
        Identifier or name.
    what : str
        What a record is, for the error: ``field``.
    also : str
        What else may be given in place of a record, as a sentence for the remedy.

    Raises
    ------
    UsageError
        There is none, and the error names those that are written most alike; or several have that name.
    """
    found = matching(records, wanted)
    if len(found) == 1:
        return found[0]
    if found:
        choice = ", ".join(map(label, found))
        raise UsageError(f"names several {what}s", where=wanted, remedy=f"Choose one by its identifier: {choice}")
    remedy = nearest(wanted, map(label, records))
    raise UsageError(f"the set has no such {what}", where=wanted, remedy=f"{remedy}. {also}" if also else remedy)


def label(record: Named) -> str:
    """Return identifier and name, such as ``PFD3 (Schmale Äcker)``."""
    texts = [text for text in (record.id, record.name) if text]
    return f"{texts[0]} ({texts[1]})" if len(texts) == 2 and texts[0] != texts[1] else (texts or ["?"])[0]


def nearest(wanted: str, labels: Iterable[str]) -> str:
    """Return a remedy that names the labels most like what is wanted, word by word; where none is, the first ones."""
    every = list(dict.fromkeys(labels))
    if not every:
        return "There is none"
    near = alike(wanted, every)
    if near:
        return f"Do you mean {' or '.join(near)}?"
    rest = f" and {len(every) - _SHOWN} more" if len(every) > _SHOWN else ""
    return f"Choose one of: {', '.join(every[:_SHOWN])}{rest}"


def alike(wanted: str, labels: Sequence[str]) -> list[str]:
    """Return the few labels that are most like what is wanted, the most alike first; none where none is alike."""
    scored = sorted(((_likeness(wanted, each), -number) for number, each in enumerate(labels)), reverse=True)
    return [labels[-number] for score, number in scored[:_NEAR] if score >= max(_ALIKE, scored[0][0] - _CLOSE)]


def _likeness(wanted: str, label: str) -> float:
    """Return how alike a text is to a label, 0 to 1: the mean of its words, each against the most similar word."""
    from difflib import SequenceMatcher  # noqa: PLC0415  # for messages alone

    words, there = wanted.casefold().split(), label.casefold().replace("(", " ").replace(")", " ").split()
    best = (max((SequenceMatcher(None, word, other).ratio() for other in there), default=0.0) for word in words)
    return sum(best) / len(words) if words else 0.0


def _as_written(text: str | None) -> str | None:
    return text


def _in_any_case(text: str | None) -> str | None:
    return None if text is None else text.strip().casefold()

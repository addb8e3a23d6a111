"""Rows with the identities of what they are, and of what they name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from taskdata.archives.entering import hashed
from taskdata.archives.layers import IDENTITY
from taskdata.archives.projecting import FIELD, OF, TASK
from taskdata.archives.register import Register
from taskdata.formats.columns import Row


def identified(layer: str, rows: Iterable[Row], place: int, digest: str, known: Register) -> Iterator[Row]:
    """Yield the rows of a layer of one set with their identities.

    Parameters
    ----------
    place : int
        Number of the set in this call.
    digest : str
        Its digest; what has no identity of its own is of this set alone.
    """
    often: Counter[tuple[Any, ...]] = Counter()
    for at, row in enumerate(rows):
        kind, key = row[OF] or (None, None)
        own = None if kind is None else known.identity(place, kind, key)
        if layer == "findings":
            fault = row["rule"], own or digest
            often[fault] += 1
            found = {"thing_identity": own, IDENTITY: hashed(*fault, often[fault]).hex()}
        else:
            found = {IDENTITY: own or hashed(layer, digest, at).hex(), **_others(layer, row, place, known)}
        yield {**row, **found}


def _others(layer: str, row: Row, place: int, known: Register) -> Row:
    """Return the identities of what a row names."""
    found: Row = {}
    if layer in {"guidance", "tasks", "logs"}:
        found["field_identity"] = known.identity(place, "fields", row[FIELD])
    if layer == "logs":
        found["task_identity"] = known.identity(place, "tasks", row[TASK])
    if layer == "tasks":
        machines = (known.identity(place, "machines", key) for key in row["machines"])
        found["machines"] = " ".join(sorted({name for name in machines if name is not None})) or None
    return found

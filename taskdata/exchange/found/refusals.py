"""Failures to say what of a source is meant."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from taskdata.errors import UsageError
from taskdata.exchange.found.copies import identical
from taskdata.exchange.found.things import Thing
from taskdata.file_formats.table import joined

_SHOWN, _SETS_SHOWN = 20, 50


def none_fits(place: Path, patterns: Sequence[str], paths: Sequence[str]) -> UsageError:
    """Return the failure to say that no item fits a pattern."""
    return UsageError(
        f"nothing in it fits {joined([repr(pattern) for pattern in patterns])}",
        where=place,
        why=f"it holds {listed_paths(paths)}" if paths else "it holds nothing that can be read",
        remedy="Write the pattern as one of these paths is",
    )


def several_sets(place: Path, sets: Sequence[Thing]) -> UsageError:
    """Return the failure to say which of several sets is meant."""
    copies = identical(sets)
    where = {thing.path: thing.where for thing in sets}
    same = {copy: f" (the same as {where[original]})" for copy, original in copies.items()}
    shown = [f"{thing.where}{same.get(thing.path, '')}" for thing in sets[:_SETS_SHOWN]]
    more = f" and {len(sets) - _SETS_SHOWN} more" if len(sets) > _SETS_SHOWN else ""
    return UsageError(
        f"holds {len(sets)} sets",
        where=place,
        why="it is not clear which one is meant",
        remedy=f"Name one of them: {', '.join(shown)}{more}",
    )


def set_and_layers(place: Path, own: Thing, layers: Sequence[Thing]) -> UsageError:
    """Return the failure to say whether a set or the layers are meant."""
    return UsageError(
        f"holds a task data set and layers: {own.where}; {listed_paths([thing.where for thing in layers])}",
        where=place,
        why="it is not clear which is meant",
        remedy=f"Name {own.where}, choose layers with [[take]], or put both together with [[merge()]]",
    )


def listed_paths(paths: Sequence[str]) -> str:
    """Return paths as words, the first of many."""
    more = [f"{len(paths) - _SHOWN} others"] if len(paths) > _SHOWN else []
    return joined([*paths[:_SHOWN], *more], "and")

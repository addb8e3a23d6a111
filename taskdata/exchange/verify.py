"""The proof of a conversion: read the target back and compare it with what was to be written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path

from taskdata.errors import TargetError, TaskdataError, UsageError
from taskdata.exchange.behind import document_behind
from taskdata.exchange.comparing import compare_sets
from taskdata.exchange.held import held
from taskdata.exchange.load import load
from taskdata.exchange.targets import Target
from taskdata.file_formats.declaration import Shape
from taskdata.formats.edits.proof import unlike
from taskdata.formats.read import read as read_layers
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document
from taskdata.model.dataset import Dataset
from taskdata.results.comparison import Difference, DifferenceKind

_SHOWN = 3
_REMEDY = "Write to another place or format, and keep the source; this is a fault of the program or the disk"


def verify_target(dataset: Dataset, document: Document | None, place: Path, goal: Target) -> None:
    """Compare what stands at ``place`` with what was to be written.

    A document is compared exactly, which is stricter than ``compare`` and costs less; only where that finds
    something, the two sets are compared as ``compare`` does, to say it in the words of the trade. Where no document
    is carried, the layers are compared, cell by cell and place by place, as they were to be written.

    Raises
    ------
    TargetError
        Something differs or cannot be read; nothing is put in place then.
    """
    if not goal.form.shapes >= set(Shape):
        raise UsageError(
            f"{goal.form.label} holds a part of each layer, so reading it back proves nothing",
            where=goal.named,
            remedy="Leave out [[verify]], or choose another format",
        )
    carried = document if goal.carries else None
    told = _layers(dataset, place, goal) if carried is None else _sets(dataset, carried, place, goal)
    if told:
        more = f"; and {len(told) - _SHOWN} more" if len(told) > _SHOWN else ""
        raise TargetError(
            "read back differently and was not put in place",
            where=goal.named,
            why="; ".join(told[:_SHOWN]) + more,
            remedy=_REMEDY,
        )


def _layers(dataset: Dataset, place: Path, goal: Target) -> list[str]:
    """Return what differs between the layers that records make and those that stand in a target."""
    with _readable(goal):
        found = read_layers(place, goal.format)
    layers, tables = held(dataset, None, goal)[0], found.tables
    if goal.is_alone and len(layers) == len(tables) == 1:  # the file may have any name
        tables = {layers[0].name: next(iter(tables.values()))}
    return list(unlike(layers, tables))


def _sets(dataset: Dataset, document: Document, place: Path, goal: Target) -> list[str]:
    """Return what differs between a set and the one that stands in a target."""
    with _readable(goal):
        back = load(place).dataset
    behind = document_behind(back)
    told = ["the document is missing"] if behind is None else list(islice(differences(document, behind), _SHOWN))
    if not told:
        return []
    return [_words(item) for item in compare_sets(dataset, back).differences] or told


@contextmanager
def _readable(goal: Target) -> Iterator[None]:
    try:
        yield
    except TaskdataError as error:
        what, why = "cannot be read back and was not put in place", error.why or error.what
        raise TargetError(what, where=goal.named, why=why, remedy=_REMEDY) from error


def _words(item: Difference) -> str:
    """Return a difference in a few words, what was to be written first."""
    if item.kind is DifferenceKind.REMOVED:
        return f"{item.what} is missing"
    if item.kind is DifferenceKind.ADDED:
        return f"{item.what} is extra"
    if item.distance_m is not None:
        return f"{item.thing} lies {item.distance_m:.3f} m away"
    return f"{item.what} is {item.after} instead of {item.before}"

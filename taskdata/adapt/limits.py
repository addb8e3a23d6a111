"""What of a profile neither a step nor parting a set can bring about."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.adapt.leavable import or_leave
from taskdata.errors import TargetError
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.model.receiver import Receiver

_ENTRIES = ("limits.rings_in_field", "limits.grid_columns", "limits.grid_rows")


def refuse_beyond(document: Document, receiver: Receiver) -> None:
    """Refuse a set with a field or grid that exceeds what a terminal takes.

    Raises
    ------
    TargetError
        Says everything that exceeds it, in one line.
    """
    if all(receiver.get(entry) is None for entry in _ENTRIES):
        return
    beyond = [
        (f"{count} {thing} of {name} where it accepts {limit}", identifier)
        for entry, thing, identifier, name, count in _counts(document)
        if (limit := receiver.get(entry)) is not None and count > limit
    ]
    if beyond:
        raise TargetError(
            f"{receiver.name} does not accept this set",
            why="; ".join(told for told, _ in beyond),
            remedy=or_leave("Make a field of each part, or maps with fewer cells", (item for _, item in beyond)),
        )


def _counts(document: Document) -> Iterator[tuple[str, str, str, str, int]]:
    dataset = to_dataset(document)
    for field in dataset.fields:
        rings = sum(len(area.exteriors) + len(area.interiors) for area in field.boundaries)
        yield "limits.rings_in_field", "rings in the boundary", field.id, f"{field.id} {field.name}".rstrip(), rings
    for task in dataset.tasks:
        if task.grid is not None:
            yield "limits.grid_columns", "columns in the grid", task.id, task.id, task.grid.columns
            yield "limits.grid_rows", "rows in the grid", task.id, task.id, task.grid.rows

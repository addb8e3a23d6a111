"""The proof of a conversion: read the target back and compare it with what was to be written."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

from taskdata.errors import TargetError
from taskdata.exchange.load import document_behind, load
from taskdata.exchange.targets import Target
from taskdata.isoxml.differences import differences
from taskdata.isoxml.document import Document
from taskdata.model.dataset import Dataset

_SHOWN = 3


def verify_target(dataset: Dataset, document: Document | None, place: Path, goal: Target) -> None:
    """Compare what stands at ``place`` with what was to be written.

    Raises
    ------
    TargetError
        Something differs; nothing is put in place then.
    """
    back = load(place).dataset
    if document is None:
        told = _records(dataset, back)
    else:
        behind = document_behind(back)
        told = ["the document is gone"] if behind is None else list(islice(differences(document, behind), _SHOWN))
    if told:
        raise TargetError("reads back different and was not put in place", where=goal.named, why="; ".join(told))


def _records(dataset: Dataset, back: Dataset) -> list[str]:
    """Say what differs in records that have no document behind them."""
    told = []
    for name in ("fields", "areas", "lines", "points", "guidance"):
        before, after = getattr(dataset, name), getattr(back, name)
        if len(before) != len(after):
            told.append(f"{len(after)} {name} instead of {len(before)}")
        elif [getattr(item, "name", None) for item in before] != [getattr(item, "name", None) for item in after]:
            told.append(f"names of {name} differ")
    return told

"""What stayed behind where a part of a set was chosen, in words and in documents."""

from __future__ import annotations

from typing import Any

from taskdata.model.choice import Chosen
from taskdata.reports.reading import counts_text
from taskdata.reports.styled import Line, wrapped


def chosen_lines(chosen: Chosen | None) -> list[Line]:
    """Return what stayed behind, and what to know of it, in lines of 80 columns; nothing where nothing was chosen."""
    if chosen is None:
        return []
    lines = wrapped(f"Left behind: {counts_text(chosen.left, {})}.", hanging=2)
    for note in chosen.notes:
        lines += wrapped(f"NOTE  {note}", 2, style="note", hanging=2)
    return lines


def chosen_document(chosen: Chosen | None) -> dict[str, Any]:
    """Return what stayed behind by kind as ``left_out``; an empty document where nothing was chosen."""
    return {} if chosen is None else {"left_out": dict(chosen.left)}


def notes_of(chosen: Chosen | None) -> tuple[str, ...]:
    """Return what to know of a choice, as sentences."""
    return () if chosen is None else chosen.notes

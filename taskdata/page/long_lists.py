"""Long lists: a page shows the first of them, with the count of the rest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import islice

from taskdata.page import markup
from taskdata.page.wording import Wording

LISTED = 200
"""So many rows or things of one kind a page lists."""


def more(count: int, word: Wording) -> str:
    """Return how many of so many things are not listed, empty where all are."""
    rest = count - LISTED
    return markup.paragraph(word.t("and {count} more", count=word.number(rest, 0))) if rest > 0 else ""


def listed_table(
    head: Sequence[str], rows: Iterable[Sequence[str]], count: int, word: Wording, figures: Iterable[int] = ()
) -> str:
    """Return a table of the first of so many rows; rows that are not shown are never made."""
    return markup.table(head, islice(rows, LISTED), figures) + more(count, word)

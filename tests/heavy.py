"""How much of a long run of examples a test takes: all with ``TASKDATA_FUZZ=1``, else a short sample."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

Item = TypeVar("Item")
HEAVY = bool(os.environ.get("TASKDATA_FUZZ"))


def some(items: Sequence[Item], few: int) -> Sequence[Item]:
    """Return all items, or a few from first to last at equal steps."""
    return items if HEAVY or len(items) <= few else [items[at * (len(items) - 1) // (few - 1)] for at in range(few)]


def examples(few: int) -> int:
    """Return how many examples hypothesis draws: a few, or twenty times as many."""
    return 20 * few if HEAVY else few

"""How much of a long run of examples a test takes: all with ``TASKDATA_FUZZ=1``, else a short sample.

With ``HYPOTHESIS_PROFILE=nightly`` each property that asks here draws 10,000 new examples.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

Item = TypeVar("Item")
HEAVY = bool(os.environ.get("TASKDATA_FUZZ"))
NIGHTLY = 10_000 if os.environ.get("HYPOTHESIS_PROFILE") == "nightly" else None
"""So many examples of each property, in a run that is asked for."""


def some(items: Sequence[Item], few: int) -> Sequence[Item]:
    """Return all items, or a few from first to last at equal steps."""
    return items if HEAVY or len(items) <= few else [items[at * (len(items) - 1) // (few - 1)] for at in range(few)]


def examples(few: int) -> int:
    """Return how many examples hypothesis draws: a few, twenty times as many, or all of a nightly run."""
    return NIGHTLY or (20 * few if HEAVY else few)

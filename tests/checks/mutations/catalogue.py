"""All faults in one list, always the same."""

from __future__ import annotations

from functools import cache

from tests.checks.mutations import attributes, binaries, meaning, shapes, trees
from tests.checks.mutations.engine import Fault


@cache
def faults() -> tuple[Fault, ...]:
    """Return every fault, ordered by where it is put."""
    return tuple(fault for part in (attributes, trees, shapes, binaries, meaning) for fault in part.faults())


def few(share: int) -> tuple[Fault, ...]:
    """Return of each kind the first fault, then every one in ``share``: what a quick run looks at."""
    seen: dict[str, int] = {}
    chosen = []
    for fault in faults():
        number = seen.get(fault.kind, 0)
        seen[fault.kind] = number + 1
        if number % share == 0:
            chosen.append(fault)
    return tuple(chosen)

"""Which repairs there are, and in which order they run.

A module has ``RULES`` (ids of the rules it silences), ``STANDING``, ``ORDER`` and ``repair(work)``. They run by
``ORDER``: 10 files, 20 identifiers, 30 texts, 40 references, 50 geometry, 60 what follows from it, 70 binary files.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork


@dataclass(frozen=True, slots=True)
class Repair:
    """One repair: its name, the rules it silences, its standing, its place in the order, its function and its page."""

    name: str
    rules: tuple[str, ...]
    standing: Standing
    order: int
    run: Callable[[RepairWork], None]
    about: str


@cache
def repairs() -> tuple[Repair, ...]:
    """Return every repair in the order in which they run."""
    package = importlib.import_module(__package__)
    names = sorted(info.name for info in pkgutil.walk_packages(package.__path__, f"{__package__}."))
    modules = [module for module in map(importlib.import_module, names) if hasattr(module, "repair")]
    found = [
        Repair(
            module.__name__.removeprefix(f"{__package__}."),
            module.RULES,
            module.STANDING,
            module.ORDER,
            module.repair,
            module.__doc__ or "",
        )
        for module in modules
    ]
    return tuple(sorted(found, key=lambda item: (item.order, item.name)))


@cache
def standings() -> dict[str, Standing]:
    """Return for each rule that can be repaired the standing of its repair, the safer one where there are two."""
    found: dict[str, Standing] = {}
    for item in repairs():
        for rule in item.rules:
            if found.get(rule) is not Standing.SAFE:
                found[rule] = item.standing
    return found

"""Which repairs there are, and in which order they run.

A module has ``RULES`` (ids of the rules it silences), ``STANDING``, ``repair(work)`` and, where it needs others to run
before it, ``NEEDS``: ids or families of the rules that have to be silenced before, or names of repairs. What only sets
an attribute is a row of ``ATTRIBUTE_REPAIRS``. The order follows from the needs (``order``).
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterator
from functools import cache
from types import ModuleType

from taskdata.dataclass import dataclass
from taskdata.repairs.attributes import ATTRIBUTE_REPAIRS, AttributeRepair, repair_of
from taskdata.repairs.order import in_order
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing


@dataclass(frozen=True, slots=True)
class Repair:
    """One repair: its name, the rules it silences, its standing, what it needs, its function and its page."""

    name: str
    rules: tuple[str, ...]
    standing: Standing
    needs: tuple[str, ...]
    run: Callable[[RepairWork], None]
    about: str


@cache
def repairs() -> tuple[Repair, ...]:
    """Return every repair in the order in which they run."""
    found = {item.name: item for item in (*_modules(), *map(_row, ATTRIBUTE_REPAIRS))}
    order = in_order({name: item.rules for name, item in found.items()}, {name: found[name].needs for name in found})
    return tuple(found[name] for name in order)


@cache
def standings() -> dict[str, Standing]:
    """Return for each rule that can be repaired the standing of its repair, the safer one where there are two."""
    found: dict[str, Standing] = {}
    for item in repairs():
        for rule in item.rules:
            if found.get(rule) is not Standing.SAFE:
                found[rule] = item.standing
    return found


def _modules() -> Iterator[Repair]:
    """Yield the repairs that have a module of their own, found by walking this folder."""
    package = importlib.import_module(__package__)
    for info in pkgutil.walk_packages(package.__path__, f"{__package__}."):
        module = importlib.import_module(info.name)
        if hasattr(module, "repair"):
            yield _module(module)


def _module(module: ModuleType) -> Repair:
    name = module.__name__.removeprefix(f"{__package__}.")
    needs: tuple[str, ...] = getattr(module, "NEEDS", ())
    return Repair(name, module.RULES, module.STANDING, needs, module.repair, module.__doc__ or "")


def _row(row: AttributeRepair) -> Repair:
    return Repair(row.rule, (row.rule,), row.standing, row.needs, repair_of(row), row.about)

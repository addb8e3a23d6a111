"""Which rules there are: the folder is walked, so adding a file is the whole registration."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from types import ModuleType
from typing import TypeAlias

from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Rule
from taskdata.raised_rules.declared import walked, with_page

Check: TypeAlias = Callable[[Subject], Iterator[Finding]]


@dataclass(frozen=True, slots=True)
class RuleModule:
    """One module of this folder: its dotted name, the rules it finds, and its generator.

    ``rules`` carry their public page in ``about``.
    """

    name: str
    rules: tuple[Rule, ...]
    check: Check


@cache
def rules() -> tuple[RuleModule, ...]:
    """Return every rule module, in the order of their names."""
    return tuple(_rule_module(module) for module in walked(__package__) if hasattr(module, "check"))


def _rule_module(module: ModuleType) -> RuleModule:
    passed_on: tuple[Rule, ...] | None = getattr(module, "RULES", None)
    return RuleModule(module.__name__, (with_page(module),) if passed_on is None else passed_on, module.check)

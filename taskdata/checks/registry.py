"""Which rules there are: the folder is walked, so adding a file is the whole registration."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from types import ModuleType
from typing import TypeAlias

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule

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
    package = importlib.import_module(__package__)
    walked = pkgutil.walk_packages(package.__path__, f"{__package__}.")
    modules = (importlib.import_module(info.name) for info in sorted(walked, key=lambda info: info.name))
    return tuple(_rule_module(module) for module in modules if hasattr(module, "check"))


def _rule_module(module: ModuleType) -> RuleModule:
    own: Rule | None = getattr(module, "RULE", None)
    passed_on: tuple[Rule, ...] = getattr(module, "RULES", ())
    found = passed_on if own is None else (replace(own, about=module.__doc__ or ""),)
    return RuleModule(module.__name__, found, module.check)

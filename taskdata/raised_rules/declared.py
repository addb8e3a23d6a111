"""The rules of this folder: it is walked, so adding a file is the whole registration."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from types import ModuleType

from taskdata.findings import Rule


@cache
def declared() -> tuple[Rule, ...]:
    """Return every rule of this folder with its page in ``about``, by module name."""
    return tuple(with_page(module) for module in walked(__package__) if hasattr(module, "RULE"))


def walked(package: str) -> Iterator[ModuleType]:
    """Yield every module below a package, in the order of their names."""
    path = importlib.import_module(package).__path__
    for info in sorted(pkgutil.walk_packages(path, f"{package}."), key=lambda info: info.name):
        yield importlib.import_module(info.name)


def with_page(module: ModuleType) -> Rule:
    """Return the rule of a module, whose docstring is its page."""
    rule: Rule = module.RULE
    return replace(rule, about=module.__doc__ or "")

"""The rules of this folder: it is walked, so adding a file is the whole registration."""

from __future__ import annotations

import importlib
import os
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
    for path in importlib.import_module(package).__path__:
        for name in sorted(_names(path, package)):
            yield importlib.import_module(name)


def _names(path: str, package: str) -> Iterator[str]:
    """Yield the dotted names of packages and modules below a folder, which ``pkgutil`` takes ten times as long for."""
    with os.scandir(path) as entries:
        for entry in entries:
            stem, suffix = os.path.splitext(entry.name)
            if suffix == ".py" and stem != "__init__":
                yield f"{package}.{stem}"
            elif not suffix and os.path.isfile(os.path.join(entry.path, "__init__.py")):
                yield f"{package}.{stem}"
                yield from _names(entry.path, f"{package}.{stem}")


def with_page(module: ModuleType) -> Rule:
    """Return the rule of a module, whose docstring is its page."""
    rule: Rule = module.RULE
    return replace(rule, about=module.__doc__ or "")

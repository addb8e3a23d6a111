"""What operations return lies in one place below them, and reports name those classes themselves."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import pkgutil
import typing
from pathlib import Path

import pytest

from taskdata import api, findings, ledger, model, results
from taskdata.records import short_repr

PACKAGE = Path(__file__).parents[2] / "taskdata"
MODULES = [importlib.import_module(f"taskdata.results.{item.name}") for item in pkgutil.iter_modules(results.__path__)]
RECORDS = [
    value
    for module in MODULES
    for value in vars(module).values()
    if dataclasses.is_dataclass(value) and value.__module__ == module.__name__
]
RETURNED = {
    "check": "audit",
    "clean": "cleaning",
    "compare": "comparison",
    "convert": "conversion",
    "coverage": "coverage",
    "merge": "merging",
    "passes": "planning",
    "ratemap": "rate_maps",
    "shift": "shifting",
    "write": "conversion",
}
"""The module of ``results`` that holds what a public function returns."""


@pytest.mark.parametrize(("name", "module"), RETURNED.items())
def test_what_a_public_function_returns_lies_with_the_results(name: str, module: str) -> None:
    returned = typing.get_type_hints(getattr(api, name))["return"]
    assert returned.__module__ == f"taskdata.results.{module}"


def test_results_are_frozen_and_say_what_they_hold() -> None:
    assert len(RECORDS) > 20
    for record in RECORDS:
        assert record.__dataclass_params__.frozen, record.__name__  # type: ignore[attr-defined]
        assert record.__doc__ is not None, record.__name__
        assert not record.__doc__.startswith(f"{record.__name__}("), record.__name__  # made by dataclass, not written


def test_no_report_mirrors_a_record() -> None:
    for path in sorted((PACKAGE / "reports").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            bases = [ast.unparse(base) for base in node.bases] if isinstance(node, ast.ClassDef) else []
            assert not any(base.endswith("Protocol") for base in bases), f"{path.name}: {bases}"


def test_records_are_shown_shortly() -> None:
    """A dataclass shows all that it holds, which may be a log; see ``taskdata.records``."""
    shown = short_repr(dataclasses.make_dataclass("Any", [])).__repr__
    homes = [results, model, findings, ledger]
    names = [item.name for home in homes[:2] for item in pkgutil.iter_modules(home.__path__, f"{home.__name__}.")]
    classes = [value for name in names for value in vars(importlib.import_module(name)).values()]
    classes += [value for home in homes[2:] for value in vars(home).values()]
    records = [item for item in classes if isinstance(item, type) and dataclasses.is_dataclass(item)]
    assert len(records) > 50
    assert {item.__name__ for item in records if item.__repr__ is not shown} == {"Finding"}

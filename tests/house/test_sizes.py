"""Modules stay below 300 lines, functions below 40; tables of data are exempt."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "taskdata"
MODULES = sorted(PACKAGE.rglob("*.py"))
MODULE_LINES, FUNCTION_LINES, OWN_OPTIONS = 300, 40, 10


def table_lines(tree: ast.Module) -> int:
    """Lines of the assignments at the top of a module: rules, tables, constants."""
    return sum(
        (node.end_lineno or node.lineno) - node.lineno + 1
        for node in tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign)
    )


def code_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without decorators, signature and docstring."""
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    return (node.end_lineno or 0) - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_sizes(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    assert len(text.splitlines()) - table_lines(tree) <= MODULE_LINES
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert code_lines(node) <= FUNCTION_LINES, node.name


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_nothing_is_left_undone_or_imports_the_package_root(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not any(word in text for word in ("TODO", "FIXME", "XXX"))
    for node in ast.walk(ast.parse(text)):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        assert "taskdata" not in names
        if isinstance(node, ast.ImportFrom) and node.module == "taskdata":
            assert not {alias.name for alias in node.names} & {"read", "write", "convert", "check", "rules"}


def test_no_late_import_hides_a_circle() -> None:
    """Only commands load parts of the program late, for speed; elsewhere that would be the way round a circle."""
    for path in MODULES:
        if "cli" in path.relative_to(PACKAGE).parts:
            continue
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(function, ast.FunctionDef):
                late = [node.module or "" for node in ast.walk(function) if isinstance(node, ast.ImportFrom)]
                assert not [name for name in late if name.startswith("taskdata")], f"{path.name}: {function.name}"


def test_commands_have_few_options_of_their_own() -> None:
    from taskdata.cli import commands

    implement = {"width", "overlap", "skip", "offset_right", "offset_back", "trailed", "axle"}  # one group of _options
    logs = {"device", "delay", "switching", "accuracy"}  # another group
    shared = {"as_json", "quiet", "units", "crs", "rescue"} | implement | logs
    context = commands.make_context("taskdata", [], resilient_parsing=True)
    for name in commands.list_commands(context):
        command = commands.get_command(context, name)
        assert command is not None
        options = [item for item in command.params if item.param_type_name == "option" and item.name not in shared]
        assert len(options) <= OWN_OPTIONS, name
        assert (command.epilog or "").startswith("Example: taskdata"), name

"""The modules of the package, each parsed once in a test run; of its tree only what the tests of the house ask."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "taskdata"


@dataclass(frozen=True)
class Function:
    """One function: its name, the lines of its code, and what it imports from."""

    name: str
    lines: int
    imports: tuple[str, ...]


@dataclass(frozen=True)
class Module:
    """One module: path in the package, text, lines of its tables, functions, imports, and what it calls of shapely."""

    name: str
    text: str
    table_lines: int
    functions: tuple[Function, ...]
    imports: tuple[tuple[str, str], ...]
    shapely_calls: tuple[tuple[str, int], ...]


@cache
def modules() -> tuple[Module, ...]:
    """Every module of the package."""
    return tuple(_read(path) for path in sorted(PACKAGE.rglob("*.py")))


def _read(path: Path) -> Module:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    nodes = list(ast.walk(tree))
    return Module(
        path.relative_to(PACKAGE).as_posix(),
        text,
        _table_lines(tree),
        tuple(_function(node) for node in nodes if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)),
        tuple(pair for node in nodes for pair in _imported(node)),
        tuple(call for node in nodes if (call := _of_shapely(node)) is not None),
    )


def _table_lines(tree: ast.Module) -> int:
    """Lines of the assignments at the top of a module: rules, tables, constants."""
    return sum(
        (node.end_lineno or node.lineno) - node.lineno + 1
        for node in tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign)
    )


def _function(node: ast.FunctionDef | ast.AsyncFunctionDef) -> Function:
    """Lines are counted without decorators, signature and docstring."""
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    lines = (node.end_lineno or 0) - body[0].lineno + 1 if body else 0
    return Function(node.name, lines, tuple(base for item in ast.walk(node) for base, _ in _imported(item)))


def _imported(node: ast.AST) -> list[tuple[str, str]]:
    """What a statement imports: module and name, the name being empty for a whole module."""
    if isinstance(node, ast.Import):
        return [(alias.name, "") for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        return [(node.module or "", alias.name) for alias in node.names]
    return []


def _of_shapely(node: ast.AST) -> tuple[str, int] | None:
    """The name of a function of shapely and how many arguments it is given; None for anything else."""
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
        return None
    if not isinstance(node.func.value, ast.Name) or node.func.value.id != "shapely":
        return None
    return node.func.attr, len(node.args)

"""Messages name arguments as their reader knows them: in Python as arguments, on the command line as options."""

from __future__ import annotations

import ast
import inspect
import re
from functools import cache
from pathlib import Path

import pytest

import taskdata
from taskdata.arguments import as_option, command_of, in_python, named_in, option_of
from taskdata.cli import commands, main
from taskdata.errors import UsageError
from taskdata.formats.foreign.options import Reading
from taskdata.model.choice import Only
from taskdata.reports import words
from tests import samples

PACKAGE = Path(taskdata.__file__).parent
FLAG = re.compile(
    r"(?<![\w-])--[a-z]|\btaskdata (?:check|clean|compare|convert|coverage|inspect|merge|passes|ratemap|rules|shift)\b"
)


def is_page(node: ast.expr) -> bool:
    """Tell whether an expression is the page of a rule, which shows what the command line has."""
    return isinstance(node, ast.Constant) and "What it checks" in str(node.value)


def page_texts(node: ast.AST) -> list[ast.expr]:
    """Return the texts of docstrings and of the pages of rules."""
    if isinstance(node, ast.Expr) or (isinstance(node, ast.Assign) and is_page(node.value)):
        return [node.value]
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "page":
        return node.args
    return [node.value] if isinstance(node, ast.keyword) and node.arg == "about" else []


@cache
def texts() -> tuple[tuple[str, str], ...]:
    """Module and text of every text that names an argument, option or command, piece by piece; no docstrings."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        if "[[" in source or FLAG.search(source):
            nodes = list(ast.walk(ast.parse(source)))
            pages = {id(text) for node in nodes for text in page_texts(node)}
            found += [
                (str(path.relative_to(PACKAGE)), node.value)
                for node in nodes
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in pages
            ]
    return tuple(found)


def options() -> set[str]:
    """Every option of the command line."""
    context = commands.make_context("taskdata", [], resilient_parsing=True)
    found = (commands.get_command(context, name) for name in commands.list_commands(context))
    return {option for command in found if command is not None for item in command.params for option in item.opts}


def parameters() -> set[str]:
    """Every argument of the public functions, of the methods of a data set, and of an implement given by hand."""
    found = [getattr(home, name) for home in (taskdata, taskdata.Dataset) for name in dir(home) if name[0] != "_"]
    functions = [taskdata.Implement, *filter(inspect.isroutine, found)]
    shared = set(Reading.__annotations__) | set(Only.__annotations__)
    return {name for item in functions for name in inspect.signature(item).parameters} | shared


def test_each_reader_is_told_in_terms_of_their_own() -> None:
    text = "Name it, as [[crs=EPSG:25832]], leave [[as_shift]] out, or see [[rules()]] and [[convert(receiver)]]"
    assert in_python(text) == (
        'Name it, as crs="EPSG:25832", leave `as_shift` out, or see taskdata.rules() and taskdata.convert(receiver=...)'
    )
    assert as_option(text) == (
        "Name it, as --crs EPSG:25832, leave --as-shift out, or see taskdata rules and taskdata convert --receiver"
    )
    assert named_in(text) == [(None, "crs"), (None, "as_shift"), ("rules", None), ("convert", "receiver")]


def test_a_failure_speaks_of_arguments_in_python_and_of_options_in_a_shell(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(UsageError) as caught:
        taskdata.shift(samples.OFFICE, "moved")
    assert str(caught.value) == "no shift was given. Give `east_m` and `north_m` in metres, or `estimate_from`"
    assert caught.value.remedy == "Give `east_m` and `north_m` in metres, or `estimate_from`"
    with pytest.raises(SystemExit) as ended:
        main(["shift", str(samples.OFFICE), "moved"])
    assert ended.value.code == 2
    assert capsys.readouterr().err == (
        "taskdata: no shift was given. Give --east and --north in metres, or --estimate-from\n"
    )


def test_a_finding_does_so_too() -> None:
    found = taskdata.check(samples.BROKEN, max_per_rule=1).findings
    rest = next(item for item in found if "not listed" in item.message)
    assert rest.remedy.endswith("or raise the limit with `max_per_rule`.")
    assert words.remedy(rest).endswith("or raise the limit with --max-per-rule.")


def test_whatever_a_text_names_exists() -> None:
    named = {pair for _, text in texts() for pair in named_in(text)}
    assert len(named) > 10
    there, arguments = options(), parameters()
    commands_there = set(commands.list_commands(commands.make_context("taskdata", [], resilient_parsing=True)))
    for function, argument in named:
        if function is not None:
            assert callable(getattr(taskdata, function))
            assert command_of(function).split()[1] in commands_there
            assert set(command_of(function).split()[2:]) <= there
        if argument:
            assert argument in arguments
            assert option_of(argument) in there


def test_no_text_below_the_command_line_names_an_option_or_a_command() -> None:
    found = [
        (module, text)
        for module, text in texts()
        if FLAG.search(text)
        and not module.startswith(("cli/", "reports/", "arguments", "file_formats/pages", "formats/layer_descriptions"))
    ]
    assert found == []

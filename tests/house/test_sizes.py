"""Modules stay below 300 lines, functions below 40; tables of data are exempt."""

from __future__ import annotations

from graphlib import TopologicalSorter

from tests.house.modules import modules

MODULE_LINES, FUNCTION_LINES, OWN_OPTIONS = 300, 40, 10
API = {"read", "write", "convert", "check", "rules"}


def test_modules_are_short() -> None:
    lines = {module.name: len(module.text.splitlines()) - module.table_lines for module in modules()}
    assert len(lines) > 100
    assert {name: count for name, count in lines.items() if count > MODULE_LINES} == {}


def test_functions_are_short() -> None:
    lines = {(module.name, item.name): item.lines for module in modules() for item in module.functions}
    assert len(lines) > 1000
    assert {name: count for name, count in lines.items() if count > FUNCTION_LINES} == {}


def test_nothing_is_left_undone() -> None:
    marks = ("TODO", "FIXME", "XXX")
    assert [(module.name, mark) for module in modules() for mark in marks if mark in module.text] == []


def test_nothing_imports_the_package_root() -> None:
    of_root = {("taskdata", name) for name in API | {""}}
    assert {module.name: found for module in modules() if (found := set(module.imports) & of_root)} == {}


def test_no_module_imports_in_a_circle() -> None:
    """Parts of the program that are loaded late, for speed, count like any other, so that they are no way round one."""
    names = {module.name.removesuffix(".py").removesuffix("/__init__").replace("/", ".") for module in modules()}
    graph = {}
    for module in modules():
        own = module.name.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        bases = [(base.removeprefix("taskdata").lstrip("."), name) for base, name in module.imports if is_own(base)]
        whole = {f"{base}.{name}".lstrip(".") for base, name in bases} & names
        graph[own] = (whole | {base for base, _ in bases} & names) - {own}
    assert len(graph) > 500
    TopologicalSorter(graph).prepare()  # which refuses a circle and names it


def is_own(base: str) -> bool:
    return base == "taskdata" or base.startswith("taskdata.")


def test_commands_have_few_options_of_their_own() -> None:
    from taskdata.cli import commands
    from taskdata.formats.foreign.options import Reading
    from taskdata.model.choice import Only

    implement = {"width", "overlap", "skip", "offset_right", "offset_back", "trailed", "axle"}  # one group of _options
    logs = {"device", "delay", "switching", "accuracy"}  # another group
    measured = {"measured", "moisture"}  # of what a log measured
    reading = set(Reading.__annotations__)  # a third
    choosing = set(Only.__annotations__)  # a fourth
    rates = {"column", "unit", "product", "quantity", "into", "field", "boundary", "task", "machine"}  # those of a map
    rates |= {"form", "cell_m", "classes", "round_to", "overlap", "gap_rate", "lost_rate", "outside_rate"}
    shared = {"as_json", "quiet", "units", "page"} | implement | logs | measured | reading | choosing
    context = commands.make_context("taskdata", [], resilient_parsing=True)
    for name in commands.list_commands(context):
        command = commands.get_command(context, name)
        assert command is not None
        known = shared | rates if name == "ratemap" else shared
        options = [item for item in command.params if item.param_type_name == "option" and item.name not in known]
        assert len(options) <= OWN_OPTIONS, name
        assert (command.epilog or "").startswith("Example: taskdata"), name

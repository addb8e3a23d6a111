"""The options of a command as those that a batch hands to every source."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import Any

import click
from click.core import ParameterSource

from taskdata.batches.commands import command_named
from taskdata.cli import _options
from taskdata.errors import UsageError
from taskdata.fieldwork.implement import Implement
from taskdata.formats.foreign.options import Reading
from taskdata.model.choice import Only

_PLACE = "SOURCE"
_SHOWN = frozenset({"quiet", "as_json"})
"""What is said of the output of the command, of which a batch has one of its own."""
_RENAMED = {
    "accuracy": "accuracy_m",
    "cell": "cell_m",
    "delay": "delay_s",
    "ignore_under": "ignore_under_m2",
}


def options_of(name: str, words: Sequence[str]) -> dict[str, Any]:
    """Return what the words say as arguments of the public function of that name, those alone that were given.

    Raises
    ------
    UsageError
        The command is none for many sources, or an option is none for them.
    """
    own = command_named(name).own
    command: click.Command = import_module(f"taskdata.cli.{name}").command
    places = [_PLACE for item in command.params if item.param_type_name == "argument"]
    context = command.make_context(f"taskdata {name}", [*places, *words])
    given = {
        key: value
        for key, value in context.params.items()
        if context.get_parameter_source(key) is ParameterSource.COMMANDLINE and key not in _SHOWN
    }
    for item in command.params:
        value = given.pop(item.name or "", _PLACE) if item.param_type_name == "argument" else _PLACE
        if isinstance(value, tuple) and len(value) > 1:
            raise UsageError("sources stand before --", where=value[1], remedy="Behind it are options of the command")
    options = _as_arguments(name, given)
    taken = own | set(Reading.__annotations__)
    for key in [key for key in options if key not in taken]:
        (option,) = (item for item in command.params if item.name == key)
        raise UsageError("is no option for many sources", where=option.opts[0], remedy="Leave it out")
    return options


def _as_arguments(name: str, given: dict[str, Any]) -> dict[str, Any]:
    """Return the parameters of a command by the names of the arguments of its function."""
    if name in {"convert", "inspect"}:
        chosen = {key: given.pop(key) for key in Only.__annotations__ if key in given}
        given |= {"only": chosen} if chosen else {}
    if name == "inspect" and given.pop("values", False):
        given.setdefault("units", "metric")
    elif name == "inspect":
        given.pop("units", None)
    if name == "convert" and "version" in given:
        given["version"] = int(given["version"])
    if name == "check" and given.get("form") == "json":
        del given["form"]  # which results are anyway
    if name == "coverage":
        given.pop("units", None)
        by_hand = {f"{key}_m": given.pop(key) for key in _options.IMPLEMENT if key in given}
        given |= {"implement": Implement(**by_hand)} if by_hand else {}
        return {_RENAMED.get(key, key): value for key, value in given.items()}
    return given

"""Arguments in messages: one text, read by people who call from Python and by people who type commands.

A text names an argument as ``[[crs]]``, one with a value as ``[[crs=EPSG:25832]]``, and a call as
``[[convert(receiver)]]`` or ``[[rules()]]``. What it becomes is up to who tells it: `in_python` for exceptions and
findings, `as_option` for whatever the command line prints.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Protocol

_MARK = re.compile(r"\[\[(?:(?P<call>\w+)\((?P<with>\w*)\)|(?P<name>\w+)(?:=(?P<value>[^\[\]]*))?)\]\]")
_UNITS = ("_km_h", "_m2", "_m", "_s")

_OPTIONS = {
    "accepted": "baseline",
    "columns": "column",
    "customers": "customer",
    "farms": "farm",
    "fields": "field",
    "form": "as",
    "roles": "role",
    "round_to": "round",
    "tasks": "task",
}
"""Options that are called otherwise than the argument."""

_COMMANDS = {
    "make_mapping": "inspect --make-mapping",
    "make_receiver": "inspect --make-receiver",
    "survey": "inspect",
    "write_baseline": "check --write-baseline",
}
"""Functions that an option of a command stands for."""


class Naming(Protocol):
    """How arguments and calls are named."""

    def __call__(self, text: str) -> str:
        """Return a text with its arguments and calls named."""


def in_python(text: str) -> str:
    """Return a text with its arguments and calls named as in Python: `crs`, ``crs="EPSG:25832"``, ``rules()``."""
    return _MARK.sub(_python, text)


def as_option(text: str) -> str:
    """Return a text with its arguments named as options, and calls as commands: ``--crs``, ``taskdata rules``."""
    return _MARK.sub(_option, text)


def one_or_several(given: str | Iterable[str]) -> tuple[str, ...]:
    """Return the names that a caller gave: one alone, or several."""
    return (given,) if isinstance(given, str) else tuple(given)


def named_in(text: str) -> list[tuple[str | None, str | None]]:
    """Return function and argument of everything that a text names, None where it names only the other."""
    return [(found["call"], found["with"] or found["name"]) for found in _MARK.finditer(text)]


def option_of(argument: str) -> str:
    """Return the option that stands for an argument: its unit is told by the help."""
    name = _OPTIONS.get(argument, argument)
    for unit in _UNITS:
        name = name.removesuffix(unit)
    return f"--{name.replace('_', '-')}"


def command_of(function: str) -> str:
    """Return the command that stands for a function."""
    return f"taskdata {_COMMANDS.get(function, function)}"


def _python(found: re.Match[str]) -> str:
    if found["call"] is not None:
        return f"taskdata.{found['call']}({found['with']}{'=...' if found['with'] else ''})"
    return f"`{found['name']}`" if found["value"] is None else f'{found["name"]}="{found["value"]}"'


def _option(found: re.Match[str]) -> str:
    if found["call"] is not None:
        return command_of(found["call"]) + (f" {option_of(found['with'])}" if found["with"] else "")
    return option_of(found["name"]) + (f" {found['value']}" if found["value"] is not None else "")

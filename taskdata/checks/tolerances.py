"""Profiles as files: TOML with a section a rule, and the JSON schema that describes it.

A section has the id of its rule, which TOML reads as a table in a table::

    [geometry.spike]
    angle = 3.0
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from taskdata.checks.profile import Profile
from taskdata.errors import UsageError
from taskdata.file_formats.regular import settings
from taskdata.findings import Rule, Tolerance
from taskdata.paths import named_path

SCHEMA = "check-profile.schema.json"
LARGEST = 1_000_000_000


def load_profile(path: str | os.PathLike[str], rules: Iterable[Rule]) -> Profile:
    """Read a profile for the tolerances of ``rules``.

    Raises
    ------
    UsageError
        The file cannot be read, is no TOML, names a tolerance that does not exist, or gives it something other than a
        number that it can have.
    """
    place = named_path(path, "profile of tolerances")
    try:
        document = settings(place)
    except (OSError, ValueError, RecursionError) as error:
        remedy = "Give a TOML file as shown in README.md"
        raise UsageError("is not a profile of tolerances", where=path, why=str(error), remedy=remedy) from error
    known = {tolerance.name: tolerance for rule in rules for tolerance in rule.tolerances}
    values = dict(_values(document, ""))
    for name, value in values.items():
        _refuse(path, name, value, known)
    return Profile(values)


def profile_schema(rules: Iterable[Rule]) -> dict[str, Any]:
    """Return the JSON schema of a profile for the tolerances of ``rules``."""
    families: dict[str, Any] = {}
    for rule in rules:
        family, _, name = rule.id.partition(".")
        if rule.tolerances:
            tables = families.setdefault(family, _table(f"Rules of the family {family}"))
            tables["properties"][name] = _table(f"Rule {rule.id}")
            tables["properties"][name]["properties"] = {
                item.name.removeprefix(f"{rule.id}."): _number(item) for item in rule.tolerances
            }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Tolerances of the rules",
        "type": "object",
        "properties": families,
        "additionalProperties": False,
    }


def _table(description: str) -> dict[str, Any]:
    return {"type": "object", "description": description, "properties": {}, "additionalProperties": False}


def _number(tolerance: Tolerance) -> dict[str, Any]:
    unit = f" ({tolerance.unit})" if tolerance.unit else ""
    return {
        "type": "integer" if isinstance(tolerance.default, int) else "number",
        "minimum": 0,
        "maximum": LARGEST,
        "default": tolerance.default,
        "description": f"{tolerance.meaning}{unit}",
    }


def _values(table: Mapping[str, Any], above: str) -> Iterator[tuple[str, Any]]:
    """Yield full name and value of what is no table."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _values(value, f"{above}{key}.")
        else:
            yield f"{above}{key}", value


def _refuse(path: str | os.PathLike[str], name: str, value: Any, known: Mapping[str, Tolerance]) -> None:
    """Fail where a tolerance does not exist or cannot have a value."""
    tolerance = known.get(name)
    if tolerance is None:
        remedy = "[[rules()]] shows the tolerances of each rule"
        raise UsageError(f"there is no tolerance {name}", where=path, remedy=remedy)
    kinds = int if isinstance(tolerance.default, int) else (int, float)
    if isinstance(value, bool) or not isinstance(value, kinds) or not 0 <= value <= LARGEST:
        kind = "a whole number" if kinds is int else "a number"
        remedy = f"Give {kind} from 0 to {LARGEST}; the default is {tolerance.default}"
        raise UsageError(f"{name} cannot be {value!r}", where=path, remedy=remedy)

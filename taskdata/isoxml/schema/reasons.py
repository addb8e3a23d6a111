"""Say in words why a value does not fit its type.

This is asked of a second schema library, which explains better than the parser but is slow: it is loaded at the first
question, and asked about single values only.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from taskdata.isoxml.schema import layout
from taskdata.resources import schema_bytes

MOST_EXPLAINED: Final = 200
"""So many values of one file are explained; the reason of the others is what the parser said."""


class Reasons:
    """The reasons for the faults of one file."""

    def __init__(self, kind: layout.Kind, version: layout.Version) -> None:
        self._name = layout.file_name(kind, version)
        self._types: Any = None
        self._asked = 0

    def reason(self, tag: str, letter: str, value: str) -> str | None:
        """Return why ``value`` does not fit the attribute ``letter`` of ``tag``; None = nothing to add."""
        self._asked += 1
        if self._asked > MOST_EXPLAINED:
            return None
        if self._types is None:
            self._types = _types(self._name)
        errors = self._types[tag].attributes[letter].type.iter_errors(value)
        found = [str(error.reason) for error in errors if error.reason]
        plain = [reason for reason in found if "pattern" not in reason]
        if plain:
            return plain[0]
        return "it does not have the form that is asked for" if found else None


@cache
def _types(name: str) -> Any:
    import xmlschema  # noqa: PLC0415 - costs more time to load than a valid file takes to check

    return xmlschema.XMLSchema10(schema_bytes(name).decode("utf-8")).types

"""Say in words why a value does not fit its type.

This is asked of a second schema library, which explains better than the parser but is slow: it is loaded at the first
question, and asked about single values only.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any, Final

from taskdata.isoxml.schema import layout
from taskdata.phrases import Phrase, phrase
from taskdata.resources import schema_bytes

MOST_EXPLAINED: Final = 200
"""So many values of one file are explained; of the others it is said only that they do not fit."""

UNFIT: Final = phrase("it does not have the required form")
_EMPTY: Final = phrase("it is empty")
_PLAIN: Final = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"must be one of", phrase("it is not one of the values that the standard lists")),
        (r"length cannot be greater", phrase("it is too long")),
        (r"length cannot be less", phrase("it is too short")),
        (r"fraction digits", phrase("it has too many decimals")),
        (r"number of digits", phrase("it has too many digits")),
        (r"must be \S+ <= x <|value has to be (great|less)", phrase("it is out of range")),
        (r"^((?:month|day|hour|minute|second) (?:must|is) .*)", r"the \1"),
    )
)
"""What the library says, and the same in plain words; whatever else it says becomes `UNFIT`."""


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
        return _in_words(plain[0] if plain else "", value) if found else None


def _in_words(said: str, value: str) -> str:
    """Return in plain words what the library said about a value."""
    if not value.strip():
        return _EMPTY
    for pattern, words in _PLAIN:
        match = pattern.search(said)
        if match:
            return words if isinstance(words, Phrase) else match.expand(words).replace("..", " to ")
    return UNFIT


@cache
def _types(name: str) -> Any:
    import xmlschema  # noqa: PLC0415 - costs more time to load than a valid file takes to check

    return xmlschema.XMLSchema10(schema_bytes(name).decode("utf-8")).types

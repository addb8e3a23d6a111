"""The words that stand in columns for the numbers of the standard."""

from __future__ import annotations

import re
from enum import IntEnum
from functools import cache
from typing import TypeVar

from taskdata.resources import table

Kind = TypeVar("Kind", bound=IntEnum)

PROPAGATION = {1: "both_sides", 2: "left", 3: "right", 4: "none"}
"""To which sides of a guidance line passes are laid (ISO 11783-10 D.30, GPN.E)."""

EXTENSION = {1: "both_ends", 2: "first_point", 3: "last_point", 4: "none"}
"""At which ends a guidance line runs on (GPN.F)."""

DIRECTION = {1: "clockwise", 2: "counter_clockwise", 3: "full_circle"}
"""Direction in which a pivot is driven (GPN.D)."""


def word(kind: IntEnum) -> str:
    """Return the word of an enumeration's member, such as ``headland``."""
    return kind.name.lower()


def words(kinds: type[IntEnum]) -> tuple[str, ...]:
    """Return every word of an enumeration."""
    return tuple(word(kind) for kind in kinds)


def plain(text: object) -> str:
    """Return a text as the words of columns are written: small letters, with low lines for blanks."""
    return str(text).strip().lower().replace(" ", "_").replace("-", "_")


def member(kinds: type[Kind], text: object) -> Kind | None:
    """Return the member that a word, or the number of the standard, stands for; None for any other text."""
    wanted = plain(text)
    for kind in kinds:
        if wanted in (kind.name.lower(), str(kind.value)):
            return kind
    return None


def number(named: dict[int, str], text: object) -> int | None:
    """Return the number that a word stands for in one of the tables above; None for no text and any other text."""
    if text is None:  # which is not the word "none"
        return None
    wanted = plain(text)
    for value, name in named.items():
        if wanted in (name, str(value)):
            return value
    return None


@cache
def fix_words() -> dict[int, str]:
    """Return the words for the kind of a position fix (PTN.D) by number."""
    rows = (row for row in table("enumerations") if (row["element"], row["attribute"]) == ("PTN", "D"))
    return {int(row["value"]): snake(row["name"]) for row in rows if row["value"].isdigit()}


@cache
def id_prefix(tag: str) -> str:
    """Return the letters before the number in an identifier of an element."""
    return next(row["id_prefix"] for row in table("elements") if row["tag"] == tag)


def is_identifier(tag: str, text: str) -> bool:
    """Return whether a text has the form of an identifier of an element, such as PFD3 or PFD-3."""
    return re.fullmatch(f"{id_prefix(tag)}-?[0-9]+", text) is not None


def snake(name: str) -> str:
    """Return a name of the standard, such as ``RTKFixedInteger``, in small letters with low lines."""
    text = ""
    for index, letter in enumerate(name):
        before = name[index - 1 : index] if index else ""
        after = name[index + 1 : index + 2]
        starts = letter.isupper() and before != "" and (not before.isupper() or after.islower())
        text += ("_" if starts and before.isalnum() else "") + (letter.lower() if letter.isalnum() else "_")
    return text

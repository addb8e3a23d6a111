"""JSON as RFC 8259 has it: no number that is none ever gets into a document or stops one."""

from __future__ import annotations

import json
import math
from typing import Any


def dumps(document: Any, *, indent: int | None = None, compact: bool = False, sort_keys: bool = False) -> str:
    """Return a document as JSON text.

    Parameters
    ----------
    document : dict, list, str, number, bool or None
        Numbers that are not finite stand as null: RFC 8259 (section 6) has no word for them.
    indent : int, optional
        Blanks a level; None = one line.
    compact : bool
        Without blanks between members.
    sort_keys : bool
        Members in the order of their names.
    """
    separators = (",", ":") if compact else None

    def text(content: Any) -> str:
        return json.dumps(
            content, ensure_ascii=False, indent=indent, separators=separators, sort_keys=sort_keys, allow_nan=False
        )

    try:
        return text(document)
    except ValueError:  # rare, so that only then the whole document is walked
        return text(finite(document))


def loads(text: str | bytes) -> Any:
    """Return what a JSON text says.

    Raises
    ------
    ValueError
        It is no JSON, or nested deeper than can be read.
    """
    try:
        return json.loads(text)
    except RecursionError:
        raise ValueError("it is nested too deep") from None


def finite(value: Any) -> Any:
    """Return a value with None in place of each number in it that is not finite."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, dict):
        return {key: finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [finite(item) for item in value]
    return value


def as_toml(value: Any) -> str:
    """Return a value as TOML, whose texts, numbers, truths and lists read as those of JSON but for one letter."""
    return dumps(value).replace("\x7f", "\\u007f")

"""How records are shown in Python: a line or two each, whatever they hold."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import MISSING, Field, fields
from enum import Enum
from itertools import islice
from typing import Any, TypeVar

Record = TypeVar("Record")

LONGEST = 200
"""How many characters a record is shown with, at most."""
_LONGEST_TEXT = 40
_LISTED = 6
_LONGEST_FIGURE, _SMALL = 12, 1e-6
_LARGE = 10**30
_BEHIND = frozenset({"key", "place", "lossless"})
"""Attributes that link a record to its source, and say nothing about the thing itself."""


def short_repr(cls: type[Record]) -> type[Record]:
    """Give a dataclass a ``repr`` of at most `LONGEST` characters; put it above ``@dataclass``.

    It shows the attributes that differ from their defaults, in their order: texts cut, arrays by type and shape,
    other records by identifier or number. What does not fit is left out at the end, marked by ``...``. Functions and
    links to the source are not shown.
    """
    cls.__repr__ = _shown  # type: ignore[method-assign]
    return cls


def _shown(record: Any) -> str:
    name = type(record).__name__
    room = LONGEST - len(f"{name}(, ...)")
    told: list[str] = []
    for part in _parts(record):
        room -= len(part) + 2
        if room < 0:
            return f"{name}({', '.join([*told, '...'])})"
        told.append(part)
    return f"{name}({', '.join(told)})"


def _parts(record: Any) -> Iterator[str]:
    for item in fields(record):
        value = getattr(record, item.name)
        if item.repr and item.name not in _BEHIND and not callable(value) and not _is_default(item, value):
            yield f"{item.name}={_value(value)}"


def _is_default(item: Field[Any], value: object) -> bool:
    if item.default_factory is not MISSING:
        return isinstance(value, list | tuple | Mapping) and not value
    return item.default is not MISSING and type(value) is type(item.default) and value == item.default


def _value(value: object) -> str:
    """Return a value in a few words: itself where it is small, else what it is and how much of it there is."""
    if isinstance(value, Mapping):
        return _listed([f"{_value(key)}: {_value(value[key])}" for key in islice(value, _LISTED)], value, "{}")
    if isinstance(value, tuple | list | set | frozenset):
        return _several(value)
    if hasattr(value, "shape") and hasattr(value, "dtype") and not isinstance(value, float):
        return f"<{value.dtype} array of shape {value.shape}>"
    return _single(value)


def _single(value: object) -> str:
    if isinstance(value, Enum):
        return f"{type(value).__name__}.{value.name}"
    if isinstance(value, str | bytes):
        return cut(repr(value))
    if isinstance(value, int) and abs(value) >= _LARGE:
        return f"<int of {value.bit_length()} bits>"
    if isinstance(value, float):
        return _figure(float(value))
    return repr(value) if value is None or isinstance(value, int) else _named(value)


def _figure(value: float) -> str:
    """Return a number as it is written where that is short, else with as many digits as a place on Earth needs."""
    shown = repr(value)
    if len(shown) <= _LONGEST_FIGURE:
        return shown
    return f"{value:.2g}" if abs(value) < _SMALL else f"{value:.10g}"


def cut(shown: str, longest: int = _LONGEST_TEXT) -> str:
    """Return the ``repr`` of a text, cut to so many characters before its last quotation mark."""
    return shown if len(shown) <= longest else f"{shown[: longest - 4]}...{shown[-1]}"


def _several(values: Collection[object]) -> str:
    if all(item is None or isinstance(item, str | int | float) for item in values):
        return _listed([_value(item) for item in islice(values, _LISTED)], values, "()")
    kinds = {type(item).__name__ for item in values}
    return f"<{len(values)} {kinds.pop() if len(kinds) == 1 else 'items'}>"


def _listed(texts: list[str], values: Collection[object], brackets: str) -> str:
    """Return the few values of a collection, or where it has more how many."""
    text = ", ".join(texts)
    if len(values) > len(texts) or len(text) > 2 * _LONGEST_TEXT:
        return f"<{len(values)} values>"
    comma = "," if brackets == "()" and len(values) == 1 else ""
    return f"{brackets[0]}{text}{comma}{brackets[1]}"


def _named(value: object) -> str:
    label = getattr(value, "id", None) or getattr(value, "name", None)
    kind = type(value).__name__
    if not isinstance(label, str):
        return f"<{kind}>"
    return f"<{kind} {label}>" if label.isascii() and label.isalnum() else f"<{kind} {cut(repr(label))}>"

"""Whether two records of the model mean the same."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

import numpy as np

_ASIDE = frozenset({"place", "key", "read"})


def same(first: object, second: object) -> bool:
    """Tell whether two records are equal in all but where they stand; arrays by value, NaN equal to NaN."""
    if first is second:
        return True
    if isinstance(first, np.ndarray) or isinstance(second, np.ndarray):
        return np.array_equal(np.asarray(first), np.asarray(second), equal_nan=True)
    if isinstance(first, tuple) and isinstance(second, tuple):
        return len(first) == len(second) and all(map(same, first, second))
    if is_dataclass(first) and type(first) is type(second):
        names = (item.name for item in fields(first) if item.name not in _ASIDE)
        return all(same(getattr(first, name), getattr(second, name)) for name in names)
    return bool(first == second)

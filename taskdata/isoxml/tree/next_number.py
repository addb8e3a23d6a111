"""The next number for the name of an element or a file."""

from __future__ import annotations

from collections.abc import Iterable


def next_number(names: Iterable[str], prefix: str) -> int:
    """Return one more than the highest number that follows ``prefix`` in any of the names, 1 where there is none."""
    texts = (name.removeprefix(prefix) for name in names if name.startswith(prefix))
    return max((int(text) for text in texts if text.isascii() and text.isdigit()), default=0) + 1

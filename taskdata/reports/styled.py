"""Lines of text with a style each: how loud a line is, never the only carrier of its meaning."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Literal, TypeAlias

from taskdata.dataclass import dataclass

Style: TypeAlias = Literal["plain", "heading", "error", "warning", "note", "quiet"]
WIDTH = 80


@dataclass(frozen=True, slots=True)
class Line:
    """One line of output."""

    text: str
    style: Style = "plain"


def wrapped(text: str, indent: int = 0, *, style: Style = "plain", hanging: int = 0) -> list[Line]:
    """Return a paragraph as lines of at most 80 columns; long words such as paths are not broken."""
    lines = textwrap.wrap(
        text,
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hanging),
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [Line(line, style) for line in lines]


def plain(lines: Iterable[Line]) -> str:
    """Return lines as text without any style."""
    return "\n".join(line.text for line in lines)

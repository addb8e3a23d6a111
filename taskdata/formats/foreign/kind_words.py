"""Words of ours in a layer that another program wrote, or that lost its columns: what its lines and points are."""

from __future__ import annotations

import pyarrow as pa

from taskdata.model.fields import GuidanceKind
from taskdata.model.shapes import LineKind, PointKind

COLUMNS = ("kind", "type")
"""Columns that may hold such words: that of our own layers, and the one of GPX."""

_WORDS = frozenset(item.name.lower() for kinds in (LineKind, PointKind, GuidanceKind) for item in kinds)


def kind_column(table: pa.Table) -> str | None:
    """Return the column whose every text is a word for a kind of line, point or guidance line; None without one."""
    for name in COLUMNS:
        if name in table.column_names and pa.types.is_string(table[name].type):
            words = set(table[name].to_pylist()) - {None}
            if words and words <= _WORDS:
                return name
    return None


def line_kind(word: str | None) -> LineKind | None:
    """Return the kind of a line that is no guidance line; None for any other word."""
    found = LineKind.__members__.get((word or "").upper())
    return None if found is LineKind.GUIDANCE else found


def point_kind(word: str | None) -> PointKind:
    """Return the kind of a point, ``other`` where the word says none."""
    return PointKind.__members__.get((word or "").upper(), PointKind.OTHER)

"""What a layer was judged to be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from taskdata.results.survey import ColumnRole, ItemKind


class Shape(StrEnum):
    """What the rows of a layer are drawn as; a layer may hold rows of each."""

    POLYGON = "polygon"
    LINE = "line"
    POINT = "point"


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the rows of one shape in a layer most likely are.

    Parameters
    ----------
    kind : ItemKind
        What they are.
    confidence : float
        0 to 1.
    why : str
        What it was concluded from, a sentence without its full stop.
    columns : mapping of ColumnRole to tuple of str
        Which columns hold what.
    width_m : float or None
        Width that a swath works, in metres, where a column says it.
    """

    kind: ItemKind
    confidence: float
    why: str
    columns: Mapping[ColumnRole, tuple[str, ...]] = field(default_factory=dict)
    width_m: float | None = None

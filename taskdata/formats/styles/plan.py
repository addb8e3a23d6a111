"""Which style of the palette each row of a layer gets: one for all, by a word, or by a number in classes."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from taskdata.dataclass import dataclass
from taskdata.formats.columns import GEOMETRY, GeometryType, Layer
from taskdata.formats.layers.rates import RATE
from taskdata.formats.layers.wording import word
from taskdata.model.shapes import AreaKind
from taskdata.palette import AREA_STYLES, RATES, styles


class By(StrEnum):
    """What tells the styles of a layer's rows apart."""

    NOTHING = "nothing"
    WORD = "word"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a legend.

    Parameters
    ----------
    style : str
        Name in the palette.
    label : str
    word : str
        What the column holds, by words.
    low, high : float
        What the column lies between, by numbers.
    """

    style: str
    label: str
    word: str = ""
    low: float = 0.0
    high: float = 0.0


@dataclass(frozen=True, slots=True)
class Plan:
    """How a layer is drawn.

    Parameters
    ----------
    geometry : GeometryType
    by : By
    column : str
        What tells rows apart; blank for nothing.
    entries : tuple of Entry
        By words the last one is for all others.
    label : str
        Column that is written beside each row; blank for none.
    arrow : bool
        Lines show their direction.
    """

    geometry: GeometryType
    by: By
    column: str
    entries: tuple[Entry, ...]
    label: str = ""
    arrow: bool = False


_SINGLE = {
    "fields": ("field", "name", False),
    "lines": ("line", "", False),
    "guidance_lines": ("guidance", "name", True),
    "points": ("point", "name", False),
    "swaths": ("parallel", "", True),
    "passes": ("parallel", "order", True),
    "log_records": ("track", "", False),
    "log_values": ("track", "", False),
}
"""Layers of one style: which, the column of their labels, and whether they show a direction."""
_GRADED = {"treatment_zones": RATE, "grid_cells": f"{RATE}_1", "applied": RATE, "measured": "value"}
"""Layers by a number, and which column holds it."""


def plan_of(layer: Layer) -> Plan | None:
    """Return how a layer is drawn, None for a table without geometry."""
    geometry = layer.spec.geometry
    if geometry is None or GEOMETRY not in layer.schema.names:
        return None
    if layer.name in _GRADED and _GRADED[layer.name] in layer.schema.names:
        return Plan(geometry, By.NUMBER, _GRADED[layer.name], _classes(layer, _GRADED[layer.name]))
    if layer.name == "areas":
        entries = [Entry(style, kind.name.replace("_", " ").capitalize(), word(kind)) for kind, style in _areas()]
        return Plan(geometry, By.WORD, "kind", (*entries, Entry("other", styles()["other"].label)), "name")
    if layer.name == "coverage":
        kinds = layer.spec.by_name["kind"].words
        entries = [Entry(kind, styles()[kind].label, kind) for kind in kinds]
        return Plan(geometry, By.WORD, "kind", (*entries, Entry("other", "Other")))
    style, label, arrow = _SINGLE.get(layer.name, ("other", "", False))
    return Plan(geometry, By.NOTHING, "", (Entry(style, styles()[style].label),), label, arrow)


def _areas() -> list[tuple[AreaKind, str]]:
    return [(kind, AREA_STYLES[word(kind)]) for kind in AreaKind if word(kind) in AREA_STYLES]


def _classes(layer: Layer, column: str) -> tuple[Entry, ...]:
    """Return classes of equal width over the numbers of a column, one class where all are the same."""
    numbers = pc.cast(layer.table[column], pa.float64()).drop_null().to_numpy()
    numbers = numbers[np.isfinite(numbers)]
    if not len(numbers):
        return (Entry("rate-none", styles()["rate-none"].label, low=0.0, high=0.0),)
    low, high = float(numbers.min()), float(numbers.max())
    if low == high:
        return (Entry(f"rate-{RATES}", f"{low:.6g}", low=low, high=high),)
    edges = np.linspace(low, high, RATES + 1).tolist()
    return tuple(
        Entry(
            f"rate-{number + 1}",
            f"{edges[number]:.4g} to {edges[number + 1]:.4g}",
            "",
            edges[number],
            edges[number + 1],
        )
        for number in range(RATES)
    )

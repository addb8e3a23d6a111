"""How things are drawn: one palette for pages, pictures and the styles in a GIS.

The colours are our own, told apart by lightness as well as by hue, and every kind of ground that may lie on another has
a pattern, dashes or a label beside its colour. ``data/palette.csv`` holds them.
"""

from __future__ import annotations

from functools import cache

from taskdata.dataclass import dataclass
from taskdata.resources import table

RATES = 7
"""How many classes of rates the palette has, ``rate-1`` the lowest."""


@dataclass(frozen=True, slots=True)
class Style:
    """How one kind of thing is drawn.

    Parameters
    ----------
    name : str
        Such as ``double``.
    fill, stroke : str
        Colours as ``#rrggbb``; blank = not filled.
    width : float
        Of the stroke, in CSS pixels.
    dash : str
        Lengths of dashes and gaps in pixels; blank = a whole line.
    pattern : str
        ``slash``, ``backslash``, ``cross``, ``dots`` or ``wave`` over the fill; blank = plain.
    opacity : float
        Of the fill, 0 to 1.
    label : str
        What it shows, in English; blank where that depends on the data.
    """

    name: str
    fill: str
    stroke: str
    width: float
    dash: str
    pattern: str
    opacity: float
    label: str


AREA_STYLES = {
    "headland": "headland",
    "water": "water",
    "building": "obstacle",
    "obstacle": "obstacle",
    "road": "road",
    "buffer_zone": "buffer",
    "windbreak": "buffer",
}
"""The style of each kind of area of a field, by its word; every other one is drawn as ``other``."""


@cache
def styles() -> dict[str, Style]:
    """Return every style by name."""
    return {
        row["name"]: Style(
            row["name"],
            row["fill"],
            row["stroke"],
            float(row["width"]),
            row["dash"],
            row["pattern"],
            float(row["opacity"]),
            row["label"],
        )
        for row in table("palette")
    }

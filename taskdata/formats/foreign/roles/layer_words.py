"""Words of several languages in the names of layers and in columns of kinds: what rows are."""

from __future__ import annotations

from taskdata.formats.foreign import words
from taskdata.model.shapes import AreaKind, LineKind, PointKind

_TABLE = "layer_words"
_LONG = 4
_IN_FIELDS = frozenset(AreaKind.__members__) - {"BOUNDARY", "TREATMENT_ZONE", "FLAG"}
_OWN = {
    "fields": "field",
    "areas": "areas",
    "lines": "lines",
    "points": "points",
    "guidance_lines": "guidance",
    "treatment_zones": "treatment_zone",
    "grid_cells": "ratemap",
    "log_records": "log",
    "passes": "guidance",
    "swaths": "swath",
}
"""What layers of this package hold, by name."""


def own_meaning(name: str) -> str | None:
    """Return what a layer holds that is called as one of this package's is; None for any other name."""
    return _OWN.get(name.strip().casefold())


def meanings_of_layer(name: str) -> list[str]:
    """Return what the words in a name say, in their order: kinds of `layer_words.csv`."""
    known = words.known(_TABLE, "kind")
    found = []
    for word in words.split(name):
        whole = known.get(word)
        parts = (
            [kind for part, kind in known.items() if len(part) >= _LONG and word.endswith(part)] if not whole else []
        )
        found += [whole] if whole else parts[:1]
    return found


def is_area_name(name: str) -> bool:
    """Tell whether a layer is called by one word, and that is one for areas in fields, such as ``obstacles``."""
    said = meanings_of_layer(name)
    return len(words.split(name)) == 1 and len(said) == 1 and said[0].upper() in _IN_FIELDS


def area_kind(word: str | None) -> AreaKind | None:
    """Return the kind of area that a word says, in any language; None for any other word."""
    return AreaKind.__members__.get(_said(word))


def line_kind(word: str | None) -> LineKind | None:
    """Return the kind of line that a word says; None for any other word, and for guidance lines."""
    found = LineKind.__members__.get(_said(word))
    return None if found is LineKind.GUIDANCE else found


def point_kind(word: str | None) -> PointKind | None:
    """Return the kind of point that a word says; None for any other word."""
    return PointKind.__members__.get(_said(word))


def _said(word: str | None) -> str:
    plain = "_".join((word or "").split()).upper()
    known = {*AreaKind.__members__, *LineKind.__members__, *PointKind.__members__}
    if plain in known:
        return plain
    found = meanings_of_layer(word or "")
    return found[0].upper() if len(set(found)) == 1 else ""

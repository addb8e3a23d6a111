"""Dated copies: layers that are called the same but for a date or a mark of a copy, and hold mostly the same rows.

Of fields, lines and points the shapes are compared; of logs, swaths and rate maps the values too, since the same ground
may have another rate each year.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.exchange.found.copies import date_in, has_marks, without_marks
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.roles.judging import judge
from taskdata.formats.geometries.decoding import shapes_in
from taskdata.results.survey import ItemKind

_SHARE = 0.5
"""Which share of the rows of a copy is also in what it is a copy of."""
_DIGITS = 7
_BY_SHAPE = (ItemKind.FIELD, ItemKind.AREA, ItemKind.LINE, ItemKind.GUIDANCE, ItemKind.POINT)


@dataclass(frozen=True, slots=True)
class DatedCopy:
    """Why a layer is an older copy, as the rest of a sentence, and how many of its rows the newer one lacks."""

    why: str
    differing: int


def dated_copies(
    tables: Mapping[str, RawTable], paths: Mapping[str, str], options: TakeOptions
) -> dict[str, DatedCopy]:
    """Return the name of each table that is a dated copy, with what tells it.

    Parameters
    ----------
    tables : mapping of str to RawTable
        Layers in WGS 84.
    paths : mapping of str to str
        Their paths below the source.
    options : TakeOptions
        What a person says of them.
    """
    groups: dict[str, list[str]] = {}
    for name in tables:
        groups.setdefault(without_marks(paths[name]), []).append(name)
    alike = [names for names in groups.values() if len(names) > 1]
    kinds = judge({name: tables[name] for names in alike for name in names}, options) if alike else {}
    found: dict[str, DatedCopy] = {}
    for names in alike:
        newest, *others = sorted(names, key=lambda name: _rank(paths[name]), reverse=True)
        for name in others:
            whole = kinds[name].kind not in _BY_SHAPE
            same, total = _shared(tables[name], tables[newest], whole=whole)
            if total and same >= _SHARE * total:
                why = f"it is an older copy of {paths[newest]} by its name, and {same} of its {total} rows are the same"
                found[name] = DatedCopy(why, total - same)
    return found


def _rank(path: str) -> tuple[bool, str, int]:
    """Return what orders copies: without a mark newest, then by date; what is only called a copy is oldest."""
    return not has_marks(path), date_in(path), -len(path)


def _shared(one: RawTable, other: RawTable, *, whole: bool) -> tuple[int, int]:
    """Return how many rows of a table are also in another, and how many it has."""
    mine, theirs = Counter(_rows(one, whole=whole)), Counter(_rows(other, whole=whole))
    return sum((mine & theirs).values()), sum(mine.values())


def _rows(raw: RawTable, *, whole: bool) -> Iterator[Hashable]:
    if GEOMETRY not in raw.table.column_names:
        return
    with np.errstate(invalid="ignore"):
        rounded = shapely.transform(shapes_in(raw.table[GEOMETRY]), lambda places: np.round(places, _DIGITS))
        keys = shapely.to_wkb(shapely.normalize(rounded), output_dimension=2)
    others = [name for name in raw.table.column_names if name != GEOMETRY] if whole else []
    values = zip(*(map(repr, raw.table[name].to_pylist()) for name in others), strict=True) if others else None
    yield from keys.tolist() if values is None else zip(keys.tolist(), values, strict=True)

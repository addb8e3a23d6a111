"""What each layer is: a field, another area, a guidance line, a log or something else.

What a person says counts, then that a layer holds results of this package, which are computed anew and never read, then
the name of one of its layers, a column of words for kinds, a format that
says that positions are a log; else evidence is weighed (`weighing`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.errors import UsageError
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import Said, TakeOptions
from taskdata.formats.foreign.position_logs import position_log
from taskdata.formats.foreign.roles.columns import columns_of, unit_factor
from taskdata.formats.foreign.roles.ground_facts import median
from taskdata.formats.foreign.roles.judgement import Judgement, Shape, parts_of
from taskdata.formats.foreign.roles.kind_columns import kind_column
from taskdata.formats.foreign.roles.layer import Layer
from taskdata.formats.foreign.roles.layer_words import is_area_name, own_meaning
from taskdata.formats.foreign.roles.line_kinds import of_lines
from taskdata.formats.foreign.roles.point_kinds import of_points
from taskdata.formats.foreign.roles.polygon_kinds import of_polygons
from taskdata.formats.foreign.roles.surroundings import Surroundings
from taskdata.formats.foreign.roles.weighing import Decision
from taskdata.formats.geometries.decoding import shapes_in
from taskdata.formats.layers.of_dataset import COMPUTED_ANEW, is_computed
from taskdata.results.survey import ColumnRole, ItemKind

_WEIGHED = {Shape.POLYGON: of_polygons, Shape.LINE: of_lines, Shape.POINT: of_points}
_OWN = {
    "field": ItemKind.FIELD,
    "areas": ItemKind.AREA,
    "lines": ItemKind.LINE,
    "points": ItemKind.POINT,
    "guidance": ItemKind.GUIDANCE,
    "treatment_zone": ItemKind.RATEMAP,
    "ratemap": ItemKind.RATEMAP,
    "swath": ItemKind.SWATH,
}
_GENERIC = frozenset({"fields", "lines", "points"})
"""Names of our layers that other programs use as well, for things of other kinds."""

_FITS = {
    ItemKind.FIELD: (Shape.POLYGON, Shape.LINE),
    ItemKind.AREA: (Shape.POLYGON,),
    ItemKind.LINE: (Shape.LINE,),
    ItemKind.GUIDANCE: (Shape.LINE, Shape.POINT),
    ItemKind.SWATH: (Shape.POLYGON, Shape.LINE),
    ItemKind.POINT: (Shape.POINT,),
    ItemKind.LOG: (Shape.POINT,),
    ItemKind.RATEMAP: tuple(Shape),
    ItemKind.OTHER: tuple(Shape),
}
"""What things of a kind may be drawn as."""


def judge(tables: Mapping[str, RawTable], options: TakeOptions) -> dict[str, Judgement]:
    """Return what each layer most likely is; of one with rows of several shapes, what most of its rows are.

    Parameters
    ----------
    tables : mapping of str to RawTable
        The layers of other programs, in WGS 84.
    options : TakeOptions
        What a person says of them.

    Raises
    ------
    UsageError
        A layer cannot be what a person says.
    """
    found = judge_shapes(tables, options)
    return {name: next(iter(parts.values())) for name, parts in found.items()}


def judge_shapes(tables: Mapping[str, RawTable], options: TakeOptions) -> dict[str, dict[Shape, Judgement]]:
    """Return what the rows of each shape in each layer most likely are, the most rows first; at least one a layer."""
    with np.errstate(invalid="ignore"):  # of coordinates that are no numbers, which count for nothing
        return _judged_each(tables, options)


def _judged_each(tables: Mapping[str, RawTable], options: TakeOptions) -> dict[str, dict[Shape, Judgement]]:
    paths = item_paths(tables)
    said = {name: options.said_of(paths[name], raw.table.column_names) for name, raw in tables.items()}
    judged = {name: _result(raw) for name, raw in tables.items() if said[name].kind is None and is_computed(raw)}
    rest = {name: raw for name, raw in tables.items() if name not in judged}
    judged |= {name: log for name, raw in rest.items() if (log := _as_log(raw, said[name])) is not None}
    parts = {name: parts_of(_geometries(raw)) for name, raw in tables.items() if name not in judged}
    around = Surroundings({name: found[Shape.POLYGON] for name, found in parts.items() if Shape.POLYGON in found})
    for name, found in parts.items():
        judged[name] = _judged(name, tables[name], found, said[name], around)
    return {name: judged[name] for name in tables}


def _result(raw: RawTable) -> dict[Shape, Judgement]:
    return {
        shape: Judgement(ItemKind.OTHER, 1.0, COMPUTED_ANEW) for shape in parts_of(_geometries(raw)) or (Shape.POINT,)
    }


def _as_log(raw: RawTable, said: Said) -> dict[Shape, Judgement] | None:
    """Return the judgement of a layer whose positions have the times of a drive, None of any other."""
    if said.kind not in (None, ItemKind.LOG) or (log := position_log(raw)) is None:
        return None
    columns = columns_of(raw.table, {ColumnRole.TIME: log.times.columns, **said.columns}, of_fields=False)
    why = "its format is that of a log" if raw.log else "its points follow each other in time as a vehicle does"
    return {Shape.POINT: Judgement(ItemKind.LOG, 1.0 if raw.log else 0.95, why, columns, log=log)}


def _geometries(raw: RawTable) -> NDArray[Any]:
    if GEOMETRY not in raw.table.column_names:
        return np.full(raw.table.num_rows, None)
    return shapes_in(raw.table[GEOMETRY])


def _judged(
    name: str, raw: RawTable, parts: Mapping[Shape, NDArray[Any]], said: Said, around: Surroundings
) -> dict[Shape, Judgement]:
    if not parts:
        return {Shape.POINT: Judgement(ItemKind.OTHER, 1.0, "no row of it has a geometry")}
    if said.kind is not None and not any(shape in _FITS[said.kind] for shape in parts):
        held = " and ".join(f"{shape}s" for shape in parts)
        raise UsageError(
            f"holds {held}, which cannot be read as {said.kind}", where=raw.label, remedy="Change what [[roles]] says"
        )
    counts = Counter({shape: len(geometries) for shape, geometries in parts.items()})
    judged = {}
    for shape, _ in counts.most_common():
        columns = columns_of(raw.table, said.columns, of_fields=shape is Shape.POLYGON)
        layer = Layer(raw, parts[shape], columns, around.about(name, parts[shape]))
        decided = _decided(layer, shape, said)
        judged[shape] = Judgement(decided.kind, decided.confidence, decided.why, columns, _width(layer, decided, said))
    return judged


def _decided(layer: Layer, shape: Shape, said: Said) -> Decision:
    if said.kind is not None and shape in _FITS[said.kind]:
        return Decision(said.kind, 1.0, "you said so")
    own = own_meaning(layer.raw.name)
    if shape is Shape.POLYGON and is_area_name(layer.raw.name):
        return Decision(ItemKind.AREA, 0.9, "its name is that of such areas")
    if own in _OWN and layer.raw.name not in _GENERIC and shape in _FITS[_OWN[own]]:
        return Decision(_OWN[own], 0.95, "its name is that of such a layer")
    kinds = kind_column(layer.raw.table)
    if kinds is not None and (kind := kinds.kind(shape)) is not None:
        return Decision(kind, 0.95, f"its column {kinds.name} says so")
    return _WEIGHED[shape](layer)


def _width(layer: Layer, decided: Decision, said: Said) -> float | None:
    """Return the width of swaths in metres, as a column says it."""
    if decided.kind is not ItemKind.SWATH or ColumnRole.WIDTH not in layer.columns:
        return None
    factor = unit_factor(layer.columns[ColumnRole.WIDTH][0], ColumnRole.WIDTH, said.units)
    usual = median(layer.numbers(ColumnRole.WIDTH))
    return usual * factor if factor is not None and usual > 0.0 else None

"""Whether the columns that a person names are there, and hold numbers where these are wanted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from taskdata.errors import UsageError
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.column_units import check_unit, named
from taskdata.model.lookup import nearest
from taskdata.results.survey import ColumnRole


def check_columns(tables: Mapping[str, RawTable], options: TakeOptions, source: str) -> None:
    """Refuse columns that no layer has: those of options in any, those of the mapping file in the layers it names.

    Raises
    ------
    UsageError
        There is none, and the message names the one that is called most alike; or none of them holds a number where
        a width, heading, rate or speed is read; or their unit is not known.
    """
    if not tables:
        return
    paths = item_paths(tables)
    _check_units(tables, paths, options)
    by_hand = {name for name in (options.name_column, *options.columns.values()) if name is not None}
    _check(by_hand, list(tables.values()), source)
    _check_numbers(options.columns.items(), list(tables.values()), source)
    for entry in options.mapping:
        layers = [raw for name, raw in tables.items() if entry.fits(paths[name])]
        if layers:
            _check(
                {name for named_by in entry.columns.values() for name in named_by},
                layers,
                source,
                f" of {entry.origin}",
            )
            pairs = [(role, name) for role, named_by in entry.columns.items() for name in named_by]
            _check_numbers(pairs, layers, source)


def _check(wanted: set[str], layers: list[RawTable], source: str, of: str = "") -> None:
    columns = sorted({name for raw in layers for name in raw.table.column_names if name != GEOMETRY})
    for name in sorted(wanted):
        if not any(_has(raw, name) for raw in layers):
            raise UsageError(f"No layer{of} has a column {name}", where=source, remedy=nearest(name, columns))


def _check_numbers(said: Iterable[tuple[ColumnRole, str]], layers: list[RawTable], source: str) -> None:
    for role, name in said:
        columns = [raw.table[found] for raw in layers if (found := _found(raw, name)) is not None]
        if role in column_values.RANGED and not any(np.isfinite(column_values.numbers(one)).any() for one in columns):
            raise UsageError(
                f"The column {name} holds no numbers, so it cannot be the {role.value}",
                where=source,
                remedy="Name another one with [[columns]]",
            )


def _check_units(tables: Mapping[str, RawTable], paths: Mapping[str, str], options: TakeOptions) -> None:
    for name, raw in tables.items():
        said = options.said_of(paths[name], raw.table.column_names)
        for role, unit in said.units.items():
            check_unit(role, unit, raw.label)
        for role, named_by in said.columns.items():
            check_unit(
                role, said.units.get(role) or named(named_by[0], role).unit, f"{raw.label}, column {named_by[0]}"
            )


def _has(raw: RawTable, wanted: str) -> bool:
    return _found(raw, wanted) is not None


def _found(raw: RawTable, wanted: str) -> str | None:
    """Return the column that a layer has of a name: as it is written, else exactly one in any case."""
    names = raw.table.column_names
    if wanted in names:
        return wanted
    alike = [name for name in names if name.casefold() == wanted.strip().casefold()]
    return alike[0] if len(alike) == 1 else None

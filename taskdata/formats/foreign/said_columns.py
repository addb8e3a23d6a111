"""Whether the columns that a person names are there."""

from __future__ import annotations

from collections.abc import Mapping

from taskdata.errors import UsageError
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import TakeOptions
from taskdata.model.lookup import nearest


def check_columns(tables: Mapping[str, RawTable], options: TakeOptions, source: str) -> None:
    """Refuse columns that no layer has: those of options in any, those of the mapping file in the layers it names.

    Raises
    ------
    UsageError
        There is none; the message names the one that is called most alike.
    """
    if not tables:
        return
    paths = item_paths(tables)
    by_hand = {name for name in (options.name_column, *options.columns.values()) if name is not None}
    _check(by_hand, list(tables.values()), source)
    for entry in options.mapping:
        layers = [raw for name, raw in tables.items() if entry.fits(paths[name])]
        if layers:
            _check(
                {name for named_by in entry.columns.values() for name in named_by},
                layers,
                source,
                f" of {entry.origin}",
            )


def _check(wanted: set[str], layers: list[RawTable], source: str, of: str = "") -> None:
    columns = sorted({name for raw in layers for name in raw.table.column_names if name != GEOMETRY})
    for name in sorted(wanted):
        if not any(_has(raw, name) for raw in layers):
            raise UsageError(f"No layer{of} has a column {name}", where=source, remedy=nearest(name, columns))


def _has(raw: RawTable, wanted: str) -> bool:
    """Tell whether a layer has a column: as it is written, else exactly one in any case."""
    names = raw.table.column_names
    return wanted in names or sum(name.casefold() == wanted.strip().casefold() for name in names) == 1

"""Values that somebody may type into a column or set in a record, odd and hostile ones."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import Any

from taskdata.formats.columns import GEOMETRY, KEY, ColumnType
from taskdata.formats.layers.of_dataset import SPECS
from taskdata.model.dataset import Dataset

NUMBERS: tuple[object, ...] = (-3, 255, 256, 2**31, 2**32, 2**40, 1e300, -0.4, 12.5, 361.0, 65536)
TEXTS: tuple[object, ...] = (
    "",
    " ",
    "Winterweizen",
    "PFD1",
    "PFD99",
    "CTR-7",
    "PFD0",
    "x" * 200,
    "a\u0000b\u0007",
    "2026-11-30T25:61:00",
    "nan",
    "0x10",
    '<PFD A="1"/>&',
    "\U0001f33e",
    "[]",
    '[{"ddi": -1, "raw_value": 1}]',
    '[{"ddi": 70000, "raw_value": 99999999999}]',
    '[{"ddi": 1, "raw_value": 99999999999}]',
    '[{"ddi": 1, "rate": 1e300, "unit": "L/ha"}]',
    '[{"ddi": 1, "raw_value": 1, "product": "Weizen", "part": "Düse"}]',
)
OTHERS: tuple[object, ...] = (None, True, math.nan, math.inf, -math.inf)
PYTHON: tuple[object, ...] = (*NUMBERS, *TEXTS, *OTHERS)
JSON: tuple[object, ...] = (*NUMBERS, *TEXTS, None, True)

_EDITABLE = ("fields", "areas", "lines", "guidance_lines", "points", "treatment_zones", "grid_cells")
_PLACES = {"key", "place", "read", "points", "presentation", "grid"}
_LISTS = {"customers", "farms", "fields", "products", "workers", "crops", "tasks"}


def cells() -> list[tuple[str, str]]:
    """Return layer and column of everything that may be edited."""
    found = [
        (name, column.name)
        for name in _EDITABLE
        for column in SPECS[name].columns
        if column.name not in {KEY, GEOMETRY} and column.type is not ColumnType.BINARY
    ]
    return [*found, *(("grid_cells", f"{name}_1") for name in ("rate", "unit", "raw_value"))]


def attributes(dataset: Dataset) -> list[tuple[tuple[Any, ...], str]]:
    """Return the way to the first record of each kind in a set, and the name of each of its plain attributes."""
    found: dict[str, list[tuple[tuple[Any, ...], str]]] = {}
    for name in sorted(_LISTS):
        for index, record in enumerate(getattr(dataset, name)):
            _gather((name, index), record, found)
    return [item for items in found.values() for item in items]


def changed(record: Any, way: tuple[Any, ...], name: str, value: object) -> Any:
    """Return a record in which the attribute ``name`` of the record at the end of ``way`` has a value."""
    if not way:
        return replace(record, **{name: value})
    attribute, index, *rest = way
    parts = list(getattr(record, attribute))
    parts[index] = changed(parts[index], tuple(rest), name, value)
    return replace(record, **{attribute: tuple(parts)})


def _gather(way: tuple[Any, ...], record: Any, found: dict[str, list[tuple[tuple[Any, ...], str]]]) -> None:
    """Note the plain attributes of a record of a kind not yet seen, and of the records in it."""
    kind = f"{type(record).__name__} {len(getattr(record, 'zones', ()) or getattr(record, 'setpoints', ())) > 0}"
    parts = [item for item in fields(record) if isinstance(getattr(record, item.name), tuple)]
    if kind not in found:
        found[kind] = [(way, item.name) for item in fields(record) if item not in parts and item.name not in _PLACES]
    for item in parts:
        for index, part in enumerate(getattr(record, item.name)):
            if hasattr(part, "__dataclass_fields__"):
                _gather((*way, item.name, index), part, found)

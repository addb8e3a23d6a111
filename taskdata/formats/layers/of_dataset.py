"""A data set as layers, and what the layers alone do not hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from taskdata.formats.base import RawTable
from taskdata.formats.columns import KEY, Layer, LayerSpec
from taskdata.formats.geometries import shapes
from taskdata.formats.layers import (
    areas,
    coverage,
    fields,
    grids,
    guidance,
    lines,
    log_values,
    logs,
    points,
    swaths,
    zones,
)
from taskdata.formats.layers.computed import NEVER_READ
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.phrases import phrase
from taskdata.progress import each

_MODULES = (fields, areas, lines, guidance, points, zones, grids, swaths)

SPECS: Mapping[str, LayerSpec] = MappingProxyType(
    {module.SPEC.name: module.SPEC for module in (*_MODULES, logs, log_values)}
)
"""Every layer by name, in the order they are written."""

COMPUTED_ANEW = "it holds what was computed, which is computed anew where it is asked for"
"""Why layers of results are not read."""


def is_own(raw: RawTable) -> bool:
    """Return whether a table is one of this package's layers: by its name and most of its columns."""
    spec = SPECS.get(raw.name)
    if spec is None or KEY not in raw.table.column_names:
        return False
    return 2 * len(set(spec.by_name) & set(raw.table.column_names)) > len(spec.by_name)


def is_computed(raw: RawTable) -> bool:
    """Return whether a table holds results that are never read: by its name and most columns, or else all of them."""
    columns = set(raw.table.column_names)
    held = {spec.name: len(set(spec.by_name) & columns) / len(spec.by_name) for spec in NEVER_READ}
    return held.get(raw.name, 0.0) > 0.5 or 1.0 in held.values()


def own_name(raw: RawTable) -> str:
    """Return the name of a table; where it has all columns of one of this package's layers, that layer's.

    A file of one layer may have any name.
    """
    if is_own(raw):
        return raw.name
    columns = set(raw.table.column_names)
    found = [name for name, spec in SPECS.items() if set(spec.by_name) <= columns]
    return max(found, key=lambda name: len(SPECS[name].by_name), default=raw.name)


def project(dataset: Dataset, *, whole: bool = False, stored: bool = True, readable: bool = False) -> list[Layer]:
    """Return the layers of a data set that have rows.

    Parameters
    ----------
    whole : bool
        They are all that is written: of a data set with nothing in it the layer of fields without a row, so that there
        is something to be read again.
    stored, readable : bool
        Records of logs as they are stored, and as a person reads them.
    """
    modules = (*_MODULES, coverage, *((logs,) if stored else ()), *((log_values,) if readable else ()))
    layers = [module.project(dataset) for module in each(modules, "Making layers", "layers")]
    return [layer for layer in layers if layer.count] or layers[:whole]


def unheld(dataset: Dataset, why: str) -> list[Loss]:
    """Return what layers lose of a data set of which no document is carried along, and why none is."""
    kinds: dict[str, Sequence[Any]] = {
        "customer": dataset.customers,
        "farm": dataset.farms,
        "product": dataset.products,
        "worker": dataset.workers,
        "crop": dataset.crops,
        "machine": dataset.machines,
    }
    return (
        [
            Loss(LossKind.DROPPED, record.id, phrase("{kind} {id}", kind=kind, id=record.id), why)
            for kind, records in kinds.items()
            for record in records
        ]
        + [
            Loss(LossKind.DROPPED, task.id, phrase("task {id} except its zones, cells and records", id=task.id), why)
            for task in dataset.tasks
        ]
        + list(_flat_rings(dataset))
    )


def _flat_rings(dataset: Dataset) -> Iterator[Loss]:
    """Yield what no polygon of a layer shows of the outlines of fields."""
    for field in dataset.fields:
        for area in (*field.boundaries, *field.areas):
            name = area.name or field.name or field.id
            whole = not shapes.area_pieces(area)
            for bad in shapes.unshown(area)[: 1 if whole else None]:
                ring = f"{'hole' if bad.is_hole else 'outer ring'} {bad.number + 1}"
                what = (
                    phrase("the outline of {name}, {ring} among its rings", name=name, ring=ring)
                    if whole
                    else phrase("{ring} of {name}", ring=ring, name=name)
                )
                yield Loss(
                    LossKind.DROPPED,
                    field.id,
                    what,
                    phrase("it {fault}, so it cannot be a polygon of a layer", fault=phrase(bad.fault.value)),
                )

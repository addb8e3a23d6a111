"""What polygons are: fields, other areas, swaths, cells or zones of a rate map, or something else."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.formats.foreign.roles.ground_facts import median
from taskdata.formats.foreign.roles.layer import Layer
from taskdata.formats.foreign.roles.weighing import Decision, Evidence, decide
from taskdata.model.shapes import AreaKind
from taskdata.results.survey import ColumnRole, ItemKind

_BEFORE = {ItemKind.FIELD: 1.0, ItemKind.AREA: -0.5, ItemKind.SWATH: -0.5, ItemKind.RATEMAP: -0.5, ItemKind.OTHER: -3.0}
_FIELD_M2 = (2_000.0, 5_000_000.0)
"""From a vegetable plot to the largest fields (common practice)."""

_WIDTHS_M = (0.5, 60.0)
"""Working widths (common practice)."""

_FEW, _MANY = 8, 20
_AREAS = frozenset(kind.name.lower() for kind in AreaKind) - {"boundary", "treatment_zone"}


def of_polygons(layer: Layer) -> Decision:
    """Return what the polygons of a layer most likely are."""
    evidence = (*_of_name(layer), *_of_size(layer), *_of_pattern(layer), *_of_columns(layer), *_of_neighbours(layer))
    return decide(_BEFORE, evidence)


def _of_name(layer: Layer) -> Iterator[Evidence]:
    said = set(layer.words)
    if said & _AREAS or "areas" in said:
        yield Evidence("its name says so", {ItemKind.AREA: 3.5})
    elif "treatment_zone" in said or "ratemap" in said:
        yield Evidence("its name says so", {ItemKind.RATEMAP: 2.5})
    elif "swath" in said or "log" in said:
        yield Evidence("its name says so", {ItemKind.SWATH: 2.5})
    elif "field" in said:
        yield Evidence("its name says so", {ItemKind.FIELD: 2.0})


def _of_size(layer: Layer) -> Iterator[Evidence]:
    usual = median(layer.polygons.areas)
    if usual > _FIELD_M2[1]:
        yield Evidence(
            "its polygons are larger than fields", {ItemKind.OTHER: 2.0, ItemKind.FIELD: -0.5, ItemKind.AREA: -1.0}
        )
    elif usual >= _FIELD_M2[0]:
        fits = {ItemKind.FIELD: 1.0, ItemKind.SWATH: -0.7, ItemKind.AREA: -0.5}
        yield Evidence(f"its polygons are as large as fields ({usual / 1e4:.3g} ha)", fits)
    else:
        small = {ItemKind.FIELD: -2.5, ItemKind.AREA: 0.5, ItemKind.SWATH: 0.5}
        yield Evidence(f"its polygons are smaller than fields ({usual:.3g} m²)", small)


def _of_pattern(layer: Layer) -> Iterator[Evidence]:
    found = layer.polygons
    if layer.count < _FEW:
        yield Evidence("they are few", {ItemKind.SWATH: -1.5})
    if layer.count < 3:
        return
    if found.squares >= 0.6 and found.touching >= 0.6:
        squares = {ItemKind.RATEMAP: 3.0, ItemKind.SWATH: -1.0, ItemKind.FIELD: -2.0}
        yield Evidence("they are squares of one size, side by side", squares)
        return
    width, share = found.alike_side
    ordinary = _WIDTHS_M[0] <= width <= _WIDTHS_M[1]
    long = median(found.sides[:, 1]) >= 4.0 * max(median(found.sides[:, 0]), 1e-9)
    if ordinary and share >= 0.7 and found.filling >= 0.8 and (long or layer.count >= _MANY):
        alike = {ItemKind.SWATH: 3.0, ItemKind.FIELD: -1.5, ItemKind.AREA: -1.0}
        yield Evidence(f"they are {width:.3g} m wide", alike)
    if found.largest_group >= _FEW and found.touching >= 0.8 and median(found.areas) < _FIELD_M2[0]:
        yield Evidence("they lie side by side", {ItemKind.SWATH: 1.0, ItemKind.RATEMAP: 1.0, ItemKind.AREA: -1.0})
    elif found.touching <= 0.3:
        apart = {ItemKind.SWATH: -2.0, ItemKind.RATEMAP: -1.5}
        yield Evidence("they lie apart from each other", apart)
    elif found.touching >= 0.9 and layer.varying_number is not None and not layer.named_apart:
        yield Evidence("they lie side by side, and a column of numbers varies", {ItemKind.RATEMAP: 1.5})


def _of_columns(layer: Layer) -> Iterator[Evidence]:
    many = layer.count >= _MANY
    if layer.has(ColumnRole.TIME) and many:
        yield Evidence("a column holds times", {ItemKind.SWATH: 1.5, ItemKind.RATEMAP: -1.5, ItemKind.AREA: -1.0})
    if layer.has(ColumnRole.SPEED, ColumnRole.STATE, ColumnRole.HEADING):
        yield Evidence(
            "columns hold what a machine did", {ItemKind.SWATH: 1.5, ItemKind.FIELD: -1.0, ItemKind.AREA: -1.0}
        )
    if layer.has(ColumnRole.WIDTH):
        yield Evidence("a column holds a width", {ItemKind.SWATH: 1.5, ItemKind.RATEMAP: -0.5, ItemKind.FIELD: -0.5})
    if layer.has(ColumnRole.RATE) and _varies(layer):
        yield Evidence("a column holds rates", {ItemKind.RATEMAP: 2.5, ItemKind.SWATH: 0.7, ItemKind.AREA: -0.5})
    elif layer.varying_number is not None and many:
        yield Evidence("a column holds numbers that vary", {ItemKind.RATEMAP: 0.7, ItemKind.SWATH: 0.5})
    if layer.has(ColumnRole.FARM, ColumnRole.CUSTOMER, ColumnRole.CROP) and layer.named_apart >= 0.5:
        yield Evidence("columns name farm, customer or crop", {ItemKind.FIELD: 1.5})
    if layer.named_apart >= 0.8:
        apart = {ItemKind.FIELD: 0.7, ItemKind.AREA: 0.5, ItemKind.SWATH: -1.5, ItemKind.RATEMAP: -1.0}
        yield Evidence("each has a name of its own", apart)


def _varies(layer: Layer) -> bool:
    rates = layer.numbers(ColumnRole.RATE)
    rates = rates[np.isfinite(rates)]
    return bool(len(rates)) and (len(rates) == 1 or float(np.ptp(rates)) > 0.0)


def _of_neighbours(layer: Layer) -> Iterator[Evidence]:
    if layer.within_fields is not None and layer.within_fields >= 0.8:
        inside = {ItemKind.AREA: 1.5, ItemKind.SWATH: 0.7, ItemKind.RATEMAP: 0.7, ItemKind.FIELD: -1.5}
        yield Evidence("they lie in the polygons of another layer", inside)

"""Styles as properties of GeoJSON features, in the words of simplestyle 1.1, which many maps on the web read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pyarrow as pa

from taskdata.formats.columns import GEOMETRY, GeometryType, Layer, LongLayer
from taskdata.formats.styles.plan import By, Plan, plan_of
from taskdata.palette import Style, styles

PROPERTIES = (
    "marker-color",
    "marker-size",
    "stroke",
    "stroke-opacity",
    "stroke-width",
    "fill",
    "fill-opacity",
)
"""The properties of simplestyle that are written, which reading leaves aside."""


def with_simplestyle(layer: Layer) -> Layer:
    """Return a layer with the properties that its features are drawn by; one of very many points as it is."""
    very_many = isinstance(layer, LongLayer) and layer.spec.geometry is GeometryType.POINT
    plan = None if very_many else plan_of(layer)
    if plan is None:
        return layer
    values = layer.table[plan.column].to_pylist() if plan.column else [None] * layer.count
    drawn = [_properties(_style(value, plan), plan.geometry) for value in values]
    table = layer.table
    at = table.column_names.index(GEOMETRY)
    for name in PROPERTIES:
        column = pa.array([item.get(name) for item in drawn])
        if column.null_count < len(column):
            table = table.add_column(at, name, column)
            at += 1
    return Layer(layer.spec, table)


def without_simplestyle(names: Sequence[str]) -> list[str]:
    """Return names of columns but those of simplestyle."""
    return [name for name in names if name not in PROPERTIES]


def _style(value: Any, plan: Plan) -> Style:
    if plan.by is By.WORD:
        found = next((entry for entry in plan.entries if entry.word == value), plan.entries[-1])
    elif plan.by is By.NUMBER and value is not None:
        found = next((entry for entry in plan.entries if value <= entry.high), plan.entries[-1])
    elif plan.by is By.NUMBER:
        return styles()["rate-none"]
    else:
        found = plan.entries[0]
    return styles()[found.style]


def _properties(style: Style, geometry: GeometryType) -> dict[str, object]:
    if geometry is GeometryType.POINT:
        return {"marker-color": style.stroke, "marker-size": "small"}
    found: dict[str, object] = {"stroke": style.stroke, "stroke-opacity": 1.0, "stroke-width": style.width}
    if geometry is not GeometryType.LINE and style.fill:
        found |= {"fill": style.fill, "fill-opacity": style.opacity}
    return found

"""Layer ``fields``: each field with its boundary."""

from __future__ import annotations

from dataclasses import replace

from taskdata.formats.columns import (
    GEOMETRY,
    Column,
    ColumnType,
    GeometryType,
    Layer,
    LayerSpec,
    Row,
    key_column,
)
from taskdata.formats.layers.polygon_rows import layer_of_areas
from taskdata.formats.layers.row_edits import Changes
from taskdata.formats.layers.several import rearranged
from taskdata.model.dataset import Dataset
from taskdata.model.derived import derived_interval, derived_name
from taskdata.model.fields import Field
from taskdata.model.shapes import AreaKind

_OWNER = "Name of the {0}; change it to refer to the {0} of that name, which is created if the set has none"

SPEC = LayerSpec(
    "fields",
    GeometryType.MULTIPOLYGON,
    "Each field with the polygons of its boundary; a field without one has a row without geometry.",
    (
        key_column("field"),
        Column("id", ColumnType.TEXT, "Identifier of the field, such as PFD3; rows of other layers refer to it"),
        Column("name", ColumnType.TEXT, "Name"),
        Column("code", ColumnType.TEXT, "Code"),
        Column("area_m2", ColumnType.REAL, "Area on the ellipsoid, without holes", derived=True),
        Column("declared_area_m2", ColumnType.INTEGER, "Area as stated in the source", short="decl_m2"),
        Column("customer", ColumnType.TEXT, "Identifier of the customer"),
        Column("customer_name", ColumnType.TEXT, _OWNER.format("customer"), short="cust_name"),
        Column("farm", ColumnType.TEXT, "Identifier of the farm"),
        Column("farm_name", ColumnType.TEXT, _OWNER.format("farm")),
        Column("crop", ColumnType.TEXT, "Identifier of the crop type"),
        Column("variety", ColumnType.TEXT, "Identifier of the crop variety"),
        Column("parent", ColumnType.TEXT, "Identifier of the parent field"),
        Column(
            "derived", ColumnType.BOOLEAN, "Whether the boundary was derived from where work was done", derived=True
        ),
        Column(
            "area_low_m2",
            ColumnType.REAL,
            "Of a derived boundary, lower bound of its area",
            derived=True,
            short="low_m2",
        ),
        Column(
            "area_high_m2",
            ColumnType.REAL,
            "Of a derived boundary, upper bound of its area",
            derived=True,
            short="high_m2",
        ),
    ),
    may_be_empty=True,
)

_PLAIN = ("name", "code", "declared_area_m2", "customer", "farm", "crop", "variety", "parent")


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    customers = {customer.id: customer.name for customer in dataset.customers}
    farms = {farm.id: farm.name for farm in dataset.farms}
    return layer_of_areas(
        SPEC, dataset.fields, lambda field: field.boundaries, lambda field: _row(field, customers, farms)
    )


def made(row: Row) -> Field:
    """Return a new record, without children, of a row that came from nowhere in the source."""
    return Field(
        id=row.get("id") or "",
        name=row.get("name") or "",
        code=row.get("code"),
        declared_area_m2=row.get("declared_area_m2"),
        customer=row.get("customer"),
        farm=row.get("farm"),
        crop=row.get("crop"),
        variety=row.get("variety"),
        parent=row.get("parent"),
        boundaries=tuple(
            replace(area, name=_mark(row)) for area in rearranged((), row.get(GEOMETRY), AreaKind.BOUNDARY)
        ),
    )


def _mark(row: Row) -> str | None:
    """Return the name of a boundary that a row says to be derived."""
    low, high = row.get("area_low_m2"), row.get("area_high_m2")
    return derived_name(low, high) if row.get("derived") and low is not None and high is not None else None


def edited(field: Field, changes: Changes) -> Field:
    """Return the record with the changed columns of its row taken over."""
    values = changes.take(*_PLAIN)
    if "name" in values:
        values["name"] = values["name"] or ""
    if changes.moved:
        values["boundaries"] = rearranged(field.boundaries, changes.geometry, AreaKind.BOUNDARY)
    return replace(field, **values) if values else field


def _row(field: Field, customers: dict[str, str], farms: dict[str, str]) -> Row:
    derived = derived_interval(field)
    return {
        "key": field.key,
        "id": field.id,
        "name": field.name,
        "code": field.code,
        "declared_area_m2": field.declared_area_m2,
        "customer": field.customer,
        "customer_name": customers.get(field.customer or ""),
        "farm": field.farm,
        "farm_name": farms.get(field.farm or ""),
        "crop": field.crop,
        "variety": field.variety,
        "parent": field.parent,
        "derived": derived is not None,
        "area_low_m2": None if derived is None else derived[0],
        "area_high_m2": None if derived is None else derived[1],
    }

"""Layer ``coverage``: ground that was worked, worked twice, missed, or worked outside the field."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.formats.columns import GEOMETRY, Column, ColumnType, GeometryType, Layer, LayerSpec, Row, from_rows
from taskdata.formats.geometries import shapes
from taskdata.geometry.geodesy import polygon_area
from taskdata.model.dataset import Dataset

KINDS = ("worked", "double", "missed", "missed-late", "outside", "outside-late")

SPEC = LayerSpec(
    "coverage",
    GeometryType.MULTIPOLYGON,
    "Areas that a task worked, worked twice or more, missed, or worked outside its field; computed, or joined of the "
    "polygons of other programs' coverage, of which the bounds are not known then. A missed spot may "
    "be one without recorded positions: look before you work it again. Areas that late switching alone may have "
    "missed or worked outside, where a state changed between two records, are a kind of their own.",
    (
        Column("task", ColumnType.TEXT, "Identifier of the task, several joined by +"),
        Column("field", ColumnType.TEXT, "Identifier of the field"),
        Column("kind", ColumnType.TEXT, "Whether the area was worked, worked twice, missed or outside", KINDS),
        Column("place", ColumnType.INTEGER, "Number of the area among those of its kind, largest first"),
        Column("area_m2", ColumnType.REAL, "Area on the ellipsoid", derived=True),
        Column("area_low_m2", ColumnType.REAL, "Lower bound of the true area (95 %)"),
        Column("area_high_m2", ColumnType.REAL, "Upper bound of the true area (95 %)"),
    ),
    identity=("task", "kind", "place"),
)


def project(dataset: Dataset) -> Layer:
    """Return the ground of coverage that was read, its polygons joined; what tasks covered is computed elsewhere."""
    return from_rows(SPEC, list(_rows(dataset)))


def _rows(dataset: Dataset) -> Iterator[Row]:
    for task in dataset.tasks:
        sized = [(polygon_area(area.exteriors, area.interiors), area) for area in task.worked]
        for place, (size, area) in enumerate(sorted(sized, key=lambda item: -item[0]), 1):
            yield {
                "task": task.id,
                "field": task.field,
                "kind": KINDS[0],
                "place": place,
                "area_m2": size,
                GEOMETRY: shapes.to_wkb(shapes.multipolygon([area])),
            }

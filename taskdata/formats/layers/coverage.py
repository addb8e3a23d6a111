"""Layer ``coverage``: ground that was worked, worked twice, missed, or worked outside the field."""

from __future__ import annotations

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec

KINDS = ("worked", "double", "missed", "outside")

SPEC = LayerSpec(
    "coverage",
    GeometryType.MULTIPOLYGON,
    "Ground of a task that was worked, worked twice or more, missed, or worked outside its field; a result of "
    "computation. Missed places may be missing positions: look before working them again.",
    (
        Column("task", ColumnType.TEXT, "Identifier of the task, several joined by +"),
        Column("field", ColumnType.TEXT, "Identifier of the field"),
        Column("kind", ColumnType.TEXT, "What became of the ground", KINDS),
        Column("place", ColumnType.INTEGER, "Number of the place among those of its kind, the largest first"),
        Column("area_m2", ColumnType.REAL, "Area on the ellipsoid", derived=True),
    ),
    identity=("task", "kind", "place"),
)

"""Layer ``coverage``: ground that was worked, worked twice, missed, or worked outside the field."""

from __future__ import annotations

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec

KINDS = ("worked", "double", "missed", "missed-late", "outside", "outside-late")

SPEC = LayerSpec(
    "coverage",
    GeometryType.MULTIPOLYGON,
    "Ground of a task that was worked, worked twice or more, missed, or worked outside its field; a result of "
    "computation. Missed places may be missing positions: look before working them again. Where a state changed "
    "between two records, late switching alone may have made missed or outside ground: it is of a kind of its own.",
    (
        Column("task", ColumnType.TEXT, "Identifier of the task, several joined by +"),
        Column("field", ColumnType.TEXT, "Identifier of the field"),
        Column("kind", ColumnType.TEXT, "What became of the ground", KINDS),
        Column("place", ColumnType.INTEGER, "Number of the place among those of its kind, the largest first"),
        Column("area_m2", ColumnType.REAL, "Area on the ellipsoid", derived=True),
        Column("area_low_m2", ColumnType.REAL, "The least that it truly is, 95 of 100 times"),
        Column("area_high_m2", ColumnType.REAL, "The most that it truly is, 95 of 100 times"),
    ),
    identity=("task", "kind", "place"),
)

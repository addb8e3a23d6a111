"""Layer ``coverage``: ground that was worked, worked twice, missed, or worked outside the field."""

from __future__ import annotations

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec

KINDS = ("worked", "double", "missed", "missed-late", "outside", "outside-late")

SPEC = LayerSpec(
    "coverage",
    GeometryType.MULTIPOLYGON,
    "Areas that a task worked, worked twice or more, missed, or worked outside its field; computed. A missed spot may "
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

"""Layer ``passes``: planned passes of a field."""

from __future__ import annotations

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec

SPEC = LayerSpec(
    "passes",
    GeometryType.LINE,
    "Planned parallel passes of a field, a result of computation. They steer machines: drive the first one by eye.",
    (
        Column("order", ColumnType.INTEGER, "Number in the layer: the headland first, then rows from the left"),
        Column(
            "name", ColumnType.TEXT, "0 the line itself, R2 the second row to its right, L2 to its left, H1 a round"
        ),
        Column("field", ColumnType.TEXT, "Identifier of the field"),
        Column("line", ColumnType.TEXT, "Identifier or name of the guidance line"),
        Column("row", ColumnType.INTEGER, "Number of the row, right of the line positive; of the headland the round"),
        Column("part", ColumnType.INTEGER, "Which piece of the row, from 1"),
        Column("headland", ColumnType.BOOLEAN, "Whether the pass goes round the field"),
        Column("spacing_m", ColumnType.REAL, "Distance between neighbouring passes"),
        Column("length_m", ColumnType.REAL, "Length on the ellipsoid", derived=True),
    ),
    identity=("order",),
)

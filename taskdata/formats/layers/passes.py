"""Layer ``passes``: planned passes of a field."""

from __future__ import annotations

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec

SPEC = LayerSpec(
    "passes",
    GeometryType.LINE,
    "Planned parallel passes of a field; computed. They steer machines: drive the first one by eye.",
    (
        Column("order", ColumnType.INTEGER, "Order in the layer: the headland first, then rows from the left"),
        Column(
            "name",
            ColumnType.TEXT,
            (
                "0 for the line itself, R2 for the second row to its right, L2 to its left, H1 for a round of the "
                "headland"
            ),
        ),
        Column("field", ColumnType.TEXT, "Identifier of the field"),
        Column("line", ColumnType.TEXT, "Identifier or name of the guidance line"),
        Column(
            "row",
            ColumnType.INTEGER,
            "Number of the row, positive to the right of the line; in the headland, number of the round",
        ),
        Column("part", ColumnType.INTEGER, "Number of the piece of the row, from 1"),
        Column("headland", ColumnType.BOOLEAN, "Whether the pass is in the headland"),
        Column("spacing_m", ColumnType.REAL, "Distance between neighbouring passes"),
        Column("length_m", ColumnType.REAL, "Length on the ellipsoid", derived=True),
    ),
    identity=("order",),
)

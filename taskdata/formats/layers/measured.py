"""Layer ``measured``: what a record measured, on which ground, and whether it was left out of the map."""

from __future__ import annotations

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec

SPEC = LayerSpec(
    "measured",
    GeometryType.MULTIPOLYGON,
    "A measured quantity such as a yield, a row for each record at work with the ground that it swept; computed. Rows "
    "that break a rule say which one, and are left out of means and maps.",
    (
        Column("row", ColumnType.INTEGER, "Number of the row, from 1"),
        Column("task", ColumnType.TEXT, "Identifier of the task, several joined by +"),
        Column("log", ColumnType.TEXT, "Name of the log's files without suffix"),
        Column("record", ColumnType.INTEGER, "Number of the record in its file, from 0"),
        Column("time", ColumnType.TIME, "Local time of the record"),
        Column("quantity", ColumnType.TEXT, "What was measured, in the words of the data dictionary"),
        Column("value", ColumnType.REAL, "What was measured, at the standard moisture if one was asked for"),
        Column("unit", ColumnType.TEXT, "Unit of the value"),
        Column("moisture", ColumnType.REAL, "Logged moisture in per cent"),
        Column("left_out", ColumnType.TEXT, "Rule by which the record is left out; empty if it is kept"),
        Column("area_m2", ColumnType.REAL, "Swept area"),
    ),
    identity=("row",),
    may_be_empty=True,
)

"""Layer ``applied``: what each section of a machine swept, at which rate, from when to when."""

from __future__ import annotations

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec

SPEC = LayerSpec(
    "applied",
    GeometryType.MULTIPOLYGON,
    "What each section swept without a break, at which rate, and when; computed. A row goes on while the section "
    "works, its target stays the same and its rate stays within 2 % of the row's first; its rate is the mean over its "
    "ground. Rates of rows that overlap add up. They are what the machine logged: compare them with what was used.",
    (
        Column("run", ColumnType.INTEGER, "Number of the row, from 1"),
        Column("task", ColumnType.TEXT, "Identifier of the task, several joined by +"),
        Column("log", ColumnType.TEXT, "Name of the log's files without suffix"),
        Column("device", ColumnType.TEXT, "Name of the machine"),
        Column("section", ColumnType.TEXT, "Identifier of the section; empty for an implement given by hand"),
        Column("section_name", ColumnType.TEXT, "Name of the section", short="sect_name"),
        Column("quantity", ColumnType.TEXT, "What the rate is, in the words of the data dictionary"),
        Column("delivered_by", ColumnType.TEXT, "Identifier of the part that the rate is of", short="deliv_by"),
        Column("product", ColumnType.TEXT, "Identifier of the product, if the task tells it"),
        Column("product_name", ColumnType.TEXT, "Name of the product", short="prod_name"),
        Column("rate", ColumnType.REAL, "Mean rate over the ground; empty if none was logged"),
        Column("target", ColumnType.REAL, "Setpoint that was logged"),
        Column("unit", ColumnType.TEXT, "Unit of rate and target"),
        Column("amount", ColumnType.REAL, "Rate times swept area"),
        Column("amount_unit", ColumnType.TEXT, "Unit of the amount", short="amt_unit"),
        Column("time_from", ColumnType.TIME, "Local time of the first record"),
        Column("time_to", ColumnType.TIME, "Local time of the record at the end"),
        Column("area_m2", ColumnType.REAL, "Swept area, counted twice where the row swept it twice"),
    ),
    identity=("run",),
)

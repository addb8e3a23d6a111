"""Options that several commands share."""

from __future__ import annotations

import click

json = click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
quiet = click.option("--quiet", is_flag=True, help="Show no progress.")
units = click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    default="metric",
    show_default=True,
    help="Units to show; what is stored stays as it is.",
)
crs = click.option("--crs", help="System of coordinates of layers that name none, such as EPSG:25832.")
source = click.argument("source", type=click.Path())

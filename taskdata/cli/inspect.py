"""``taskdata inspect``: what is in a data set."""

from __future__ import annotations

from typing import Literal

import click

from taskdata.cli import _options, _output

EXAMPLE = "Example: taskdata inspect stick/TASKDATA"


@click.command("inspect", epilog=EXAMPLE, short_help="Show what is in a data set.")
@_options.source
@click.option("--crs", help="System of coordinates of layers that name none, such as EPSG:25832.")
@click.option("--name-column", help="Column that holds the names, in layers of other programs.")
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    source: str,
    crs: str | None,
    name_column: str | None,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
) -> None:
    """Show the farms, fields with areas, guidance lines, machines, tasks and logs in SOURCE."""
    from taskdata import api
    from taskdata.reports.inspect import inspect_document
    from taskdata.reports.inspect_text import inspect_lines

    with _output.progress(f"Reading {source}", quiet=quiet):
        dataset = api.read(source, crs=crs, name_column=name_column)
        result = inspect_document(dataset) if as_json else inspect_lines(dataset, units)
    if isinstance(result, dict):
        _output.print_document(result)
    else:
        _output.print_lines(result)

"""``taskdata inspect``: what is in a data set."""

from __future__ import annotations

from typing import Literal

import click

from taskdata.cli import _options, _output

EXAMPLE = "Example: taskdata inspect stick/TASKDATA"


@click.command("inspect", epilog=EXAMPLE, short_help="Show what is in a data set.")
@_options.source
@_options.crs
@_options.rescue
@click.option("--name-column", help="Column that holds the names, in layers of other programs.")
@click.option("--make-receiver", "profile", type=click.Path(), metavar="FILE", help="Write what this terminal takes.")
@click.option("--values", is_flag=True, help="Also rates, constants and logged values, as the set shows them.")
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    source: str,
    crs: str | None,
    rescue: bool,
    name_column: str | None,
    profile: str | None,
    values: bool,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
) -> int:
    """Show the farms, fields with areas, guidance lines, machines, tasks and logs in SOURCE.

    --make-receiver concludes from a set that a terminal itself wrote what that terminal takes, and writes a first
    profile for taskdata check --receiver. --values shows numbers as the set says: offset, scale, decimals and unit of
    its own; where it says nothing, by the dictionary in --units. An existing file is not replaced: exit code 4.
    """
    from taskdata import api
    from taskdata.reports.inspect import inspect_document
    from taskdata.reports.inspect_text import inspect_lines

    with _output.progress(f"Reading {source}", quiet=quiet):
        dataset = api.read(source, crs=crs, name_column=name_column, partial=True, rescue=rescue)
        if profile is not None:
            api.make_receiver(dataset, profile)
        result = (
            inspect_document(dataset, units if values else None)
            if as_json
            else inspect_lines(dataset, units, values=values)
        )
    if profile is not None:
        click.echo(f"taskdata: {profile} written: correct it from the manual of the terminal", err=True)
    if isinstance(result, dict):
        _output.print_document(result)
    else:
        _output.print_lines(result)
    return _output.exit_code(dataset.findings)

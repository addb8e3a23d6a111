"""``taskdata compare``: what differs between two data sets."""

from __future__ import annotations

from typing import Any

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

EXAMPLE = "Example: taskdata compare sent/TASKDATA stick/TASKDATA"


@click.command("compare", epilog=EXAMPLE, short_help=SHORT_HELP["compare"])
@click.argument("first", type=click.Path(readable=False), metavar="A")
@click.argument("second", type=click.Path(readable=False), metavar="B")
@click.option(
    "--tolerance",
    type=click.FloatRange(min=0.0),
    default=0.0,
    show_default=True,
    help="Distance in metres up to which two positions count as the same.",
)
@_options.reading
@_options.json
@_options.quiet
def command(*, first: str, second: str, tolerance: float, as_json: bool, quiet: bool, **reading: Any) -> int:
    """Match what is in A and B by link, identifier, name and position, and list what differs.

    Exit code 1 means that something differs, or could not be read.
    """
    from taskdata import api
    from taskdata.reports.compare_json import compare_document
    from taskdata.reports.compare_text import compare_text

    with progress(f"Comparing {first} with {second}", quiet=quiet):
        result = api.compare(first, second, tolerance_m=tolerance, **reading)
    if as_json:
        _output.print_document(compare_document(result))
    else:
        _output.print_lines(compare_text(result))
    return int(not result.equal) or _output.exit_code(result.findings)

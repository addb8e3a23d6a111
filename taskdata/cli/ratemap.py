"""``taskdata ratemap``: a planned task with zones or a grid, of a layer of rates."""

from __future__ import annotations

from typing import Any, Literal

import click

from taskdata.cli import _options, _output, _rate_options
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP
from taskdata.versions import writable

EXAMPLE = "Example: taskdata ratemap rates.gpkg stick --field Ostzipfel --column rate --unit kg/ha --product Kalk"
VERSIONS = [str(number) for number in writable()]


@click.command("ratemap", epilog=EXAMPLE, short_help=SHORT_HELP["ratemap"])
@click.argument("layer", type=click.Path(readable=False))
@click.argument("target", type=click.Path())
@_rate_options.columns
@_rate_options.home
@_rate_options.rules
@click.option("--tank", type=float, help="Size of a tank or bag in kg, L or pieces, to compare the total with.")
@click.option("--accept-rates", is_flag=True, help="Go on with rates that are out of the usual.")
@click.option("--version", type=click.Choice(VERSIONS), help="Version of an ISO-XML target; default: the set's.")
@_options.placing
@click.option("--overwrite", is_flag=True, help="Replace a target that this program wrote.")
@click.option("--dry-run", is_flag=True, help="Show what would be made and write nothing.")
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    layer: str,
    target: str,
    version: str | None,
    units: Literal["metric", "us"],
    dry_run: bool,
    as_json: bool,
    quiet: bool,
    **asked: Any,
) -> int:
    """Make a planned task with treatment zones or a grid of LAYER, and write it as TARGET.

    LAYER holds polygons or points with columns of rates, or is a GeoTIFF with bands of rates. The task goes into the
    set that --into names, which stays as it is, or into a new one. The totals of the map are kept.
    """
    from taskdata import api
    from taskdata.reports.ratemap_json import ratemap_document
    from taskdata.reports.ratemap_text import ratemap_text

    with progress(f"Making a task of {layer}", quiet=quiet):
        result = api.ratemap(layer, target, version=None if version is None else int(version), dry_run=dry_run, **asked)
    if as_json:
        _output.print_document(ratemap_document(result))
    else:
        _output.print_lines(ratemap_text(result, units, dry_run=dry_run))
    return _output.exit_code(result.written.findings, new_errors=result.written.new_errors)

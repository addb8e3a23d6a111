"""``taskdata shift``: lines, a field or everything moved by some metres."""

from __future__ import annotations

from typing import Any, Literal

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

EXAMPLE = "Example: taskdata shift stick/TASKDATA moved/TASKDATA --east 0.35 --north -0.10 --lines"


@click.command("shift", epilog=EXAMPLE, short_help=SHORT_HELP["shift"])
@_options.source
@click.argument("target", type=click.Path())
@click.option("--east", type=float, help="Metres to the east; negative to the west.")
@click.option("--north", type=float, help="Metres to the north; negative to the south.")
@click.option("--lines", is_flag=True, help="Move guidance lines only; this is the default.")
@click.option("--field", help="Move all of this field, or with --lines its lines.")
@click.option("--everything", is_flag=True, help="Move boundaries, lines, points, zones and grids of all fields.")
@click.option("--as-shift", is_flag=True, help="Leave lines in place; add a guidance shift to the open tasks.")
@click.option("--estimate-from", metavar="OTHER", help="Estimate the shift that moves SOURCE onto this set.")
@click.option("--with-logs", is_flag=True, help="Move the positions in logs too.")
@click.option("--overwrite", is_flag=True, help="Replace a target that this program wrote.")
@click.option("--dry-run", is_flag=True, help="Show what would move and write nothing.")
@_options.reading
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    source: str,
    target: str,
    east: float | None,
    north: float | None,
    lines: bool,
    field: str | None,
    everything: bool,
    as_shift: bool,
    estimate_from: str | None,
    with_logs: bool,
    overwrite: bool,
    dry_run: bool,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
    **reading: Any,
) -> int:
    """Move guidance lines, a field or everything in SOURCE by metres, and write TARGET.

    Everything else stays exactly as it is. Where an estimated shift cannot be determined in a direction, that is
    reported, and nothing moves that way.
    """
    from taskdata import api
    from taskdata.reports.shift import shift_document, shift_text

    with progress(f"Moving {source}", quiet=quiet):
        result = api.shift(
            source,
            target,
            east_m=east,
            north_m=north,
            estimate_from=estimate_from,
            lines=lines,
            field=field,
            everything=everything,
            as_shift=as_shift,
            with_logs=with_logs,
            overwrite=overwrite,
            dry_run=dry_run,
            **reading,
        )
    if as_json:
        _output.print_document(shift_document(result))
    else:
        _output.print_lines(shift_text(result, units, dry_run=dry_run))
    return _output.exit_code(result.written.findings, new_errors=result.written.new_errors)

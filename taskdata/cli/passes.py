"""``taskdata passes``: parallel passes of a field."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

if TYPE_CHECKING:
    from taskdata.results.planning import Passes

EXAMPLE = "Example: taskdata passes stick/TASKDATA --width 6 --headland 2 --output passes.gpkg"


@click.command("passes", epilog=EXAMPLE, short_help=SHORT_HELP["passes"])
@_options.source
@click.option("--field", help="Identifier or name of the field; default: the first with a guidance line.")
@click.option("--line", help="Identifier or name of a guidance line, a heading in degrees, or best.")
@click.option("--width", type=float, help="Working width in metres; default: the line's or the implement's.")
@click.option("--overlap", type=float, default=0.0, help="Intended overlap of passes in metres.")
@click.option("--skip", type=float, default=0.0, help="Intended gap between passes in metres.")
@click.option("--headland", type=int, default=0, show_default=True, help="Headland passes to drive around the field.")
@click.option(
    "--ends",
    type=click.Choice(["full", "centre"], case_sensitive=False),
    default="full",
    show_default=True,
    help="End rows where the full width is past the edge, or where their centre meets it.",
)
@click.option("--speed", type=float, help="Working speed in km/h, to estimate the time.")
@click.option(
    "--output", type=click.Path(), help="Layer to write the passes to, or ISO-XML set to add them to as lines."
)
@_options.to("Format of the output; default: from its name.")
@click.option("--overwrite", is_flag=True, help="Replace an output that this program wrote.")
@_options.reading
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    source: str,
    field: str | None,
    line: str | None,
    width: float | None,
    overlap: float,
    skip: float,
    headland: int,
    ends: str,
    speed: float | None,
    output: str | None,
    to: str | None,
    overwrite: bool,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
    **reading: Any,
) -> int:
    """Plan the parallel passes of one field in SOURCE.

    Passes follow a guidance line, or the heading with the fewest passes and then the least turning, and are clipped to
    the field and its holes. An ISO-XML output holds the whole set, with the passes as a new guidance group.
    """
    from taskdata import api

    with progress(f"Planning passes of {source}", quiet=quiet):
        result = api.passes(
            source,
            field=field,
            line=line,
            width_m=width,
            overlap_m=overlap,
            skip_m=skip,
            headland=headland,
            ends=ends,
            speed_km_h=speed,
            output=output,
            to=to,
            overwrite=overwrite,
            **reading,
        )
    _show(result, units, as_json=as_json)
    new_errors = () if result.written is None else result.written.new_errors
    return _output.exit_code(result.findings, new_errors=new_errors)


def _show(result: Passes, units: Literal["metric", "us"], *, as_json: bool) -> None:
    from taskdata.reports.passes import passes_document, passes_text

    if as_json:
        _output.print_document(passes_document(result.plan, result.findings))
        return
    told = result.findings if result.written is None else ()
    _output.print_lines(passes_text(result.plan, units, told))
    _output.print_written(result.written)

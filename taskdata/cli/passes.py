"""``taskdata passes``: parallel passes of a field."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import click

from taskdata.cli import _options, _output

if TYPE_CHECKING:
    from taskdata.results.planning import Passes

EXAMPLE = "Example: taskdata passes stick/TASKDATA --width 6 --headland 2 --output passes.gpkg"


@click.command("passes", epilog=EXAMPLE, short_help="Plan the parallel passes of a field.")
@_options.source
@click.option("--field", help="Identifier or name of the field; default the first with a guidance line.")
@click.option("--line", help="Identifier or name of a guidance line, a heading in degrees, or best.")
@click.option("--width", type=float, help="Working width in metres; default the line's or the implement's.")
@click.option("--overlap", type=float, default=0.0, help="By how many metres passes are meant to overlap.")
@click.option("--skip", type=float, default=0.0, help="Gap in metres that is meant between passes.")
@click.option("--headland", type=int, default=0, show_default=True, help="Widths of headland to drive round the field.")
@click.option(
    "--ends",
    type=click.Choice(["full", "centre"]),
    default="full",
    show_default=True,
    help="End rows where the whole width is past the edge, or where their middle meets it.",
)
@click.option("--speed", type=float, help="Speed of work in km/h, for the time it takes.")
@click.option("--output", type=click.Path(), help="Layer of passes to write, or ISO-XML set with them as lines.")
@_options.to("Format of the output; default by its name.")
@click.option("--overwrite", is_flag=True, help="Replace an existing output.")
@_options.crs
@_options.rescue
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
    crs: str | None,
    rescue: bool,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
) -> int:
    """Plan the parallel passes of one field in SOURCE.

    Along a guidance line, or the heading with the fewest passes and then the least turning; clipped to the field with
    its holes. An output that is ISO-XML gets the whole set with the passes as a new group of guidance lines.
    """
    from taskdata import api

    with _output.progress(f"Planning passes of {source}", quiet=quiet):
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
            crs=crs,
            rescue=rescue,
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

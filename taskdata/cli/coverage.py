"""``taskdata coverage``: what was worked, missed and done twice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

if TYPE_CHECKING:
    from taskdata.results.coverage import Covered

EXAMPLE = "Example: taskdata coverage stick/TASKDATA --output coverage.gpkg"


@click.command("coverage", epilog=EXAMPLE, short_help=SHORT_HELP["coverage"])
@_options.source
@click.option("--task", multiple=True, help="Identifier or name of a task, repeatable; default: all with a log.")
@click.option("--field", help="Identifier or name of the field to compare with; default: the task's.")
@click.option("--together", is_flag=True, help="Count the tasks of one operation on a field, or close by, as one.")
@click.option("--line", help="Identifier or name of a guidance line: how well the implement's centre followed it.")
@_options.implement
@_options.logs
@_options.measured
@click.option("--cell", type=float, help="Side of the cells of --raster in metres; without it, count areas by cells.")
@click.option(
    "--ignore-under", type=float, default=1.0, show_default=True, help="Leave out spots smaller than this, in m²."
)
@click.option("--output", type=click.Path(), help="Layer to write the areas to, or ISO-XML set to add them to.")
@click.option("--raster", type=click.Path(), help="GeoTIFF to write: what was applied in each cell, times, target.")
@_options.to("Format of the output; default: from its name.")
@click.option("--overwrite", is_flag=True, help="Replace an output that this program wrote.")
@_options.reading
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    source: str,
    task: tuple[str, ...],
    field: str | None,
    together: bool,
    line: str | None,
    device: str | None,
    delay: float | None,
    switching: Literal["record", "middle"],
    accuracy: float | None,
    measured: str | None,
    moisture: float | None,
    cell: float | None,
    ignore_under: float,
    output: str | None,
    raster: str | None,
    to: str | None,
    overwrite: bool,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
    **rest: Any,
) -> int:
    """Compute what each task in SOURCE worked, missed and worked twice, with rates and figures of the work.

    The device description and the logged section states decide; options describe an implement by hand instead. With
    --width, lines or points of layers without logs count as tracks.
    """
    from taskdata import api
    from taskdata.fieldwork.implement import Implement

    by_hand = Implement(**{f"{name}_m": rest.pop(name) for name in _options.IMPLEMENT})
    with progress(f"Computing coverage of {source}", quiet=quiet):
        result = api.coverage(
            source,
            task=task,
            field=field,
            together=together,
            line=line,
            implement=by_hand,
            device=device,
            delay_s=delay,
            switching=switching,
            accuracy_m=accuracy,
            cell_m=cell,
            ignore_under_m2=ignore_under,
            output=output,
            raster=raster,
            measured=measured,
            moisture=moisture,
            to=to,
            overwrite=overwrite,
            **rest,
        )
    _show(result, units, as_json=as_json)
    return _output.exit_code(result.findings)


def _show(result: Covered, units: Literal["metric", "us"], *, as_json: bool) -> None:
    from taskdata.reports.coverage_json import coverage_document
    from taskdata.reports.coverage_text import coverage_text, warnings_of

    if as_json:
        _output.print_document(coverage_document(result, warnings_of(result.tasks)))
        return
    told = result.findings if result.written is None else ()
    _output.print_lines(coverage_text(result.source, result.tasks, units, told, result.raster))
    _output.print_written(result.written)

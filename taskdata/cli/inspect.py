"""``taskdata inspect``: what is in data sets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import in_turn, progress
from taskdata.errors import SourceError, UsageError

if TYPE_CHECKING:
    from taskdata.model.dataset import Dataset

EXAMPLE = "Example: taskdata inspect stick/TASKDATA"


@click.command("inspect", epilog=EXAMPLE, short_help="Show what is in data sets.")
@click.argument("sources", nargs=-1, required=True, type=click.Path(readable=False), metavar="SOURCE...")
@_options.reading
@_options.choosing
@click.option("--make-receiver", "profile", type=click.Path(), metavar="FILE", help="Write a profile of this terminal.")
@click.option("--values", is_flag=True, help="Also show rates, constants and logged values.")
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    sources: tuple[str, ...],
    profile: str | None,
    values: bool,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
    **given: Any,
) -> int:
    """Show where each SOURCE lies, and its farms, fields with areas, guidance lines, machines, tasks and logs.

    --make-receiver infers from a set that a terminal wrote what that terminal accepts, and writes a first profile for
    taskdata check --receiver; it never replaces a file (exit code 4). --values shows numbers with the set's own offset,
    scale, decimals and unit, or else those of the data dictionary, in --units. Several sources end in totals; JSON is
    then {"sources": [...], "totals": {...}}. What --field, --task, --customer and --farm name has to be in one of them.
    """
    from taskdata import api
    from taskdata.arguments import as_option
    from taskdata.reports.inspect import inspect_document

    if profile is not None and len(sources) > 1:
        raise UsageError("--make-receiver takes one source", where=profile, remedy="Give one SOURCE")
    documents: list[dict[str, Any]] = []
    choosing = api.Choosing(_options.choice(given))
    code = 0
    with progress("Reading", quiet=quiet) as aside:
        for source in in_turn(sources, "Reading"):
            try:
                whole = api.read(source, partial=True, **given)
                if profile is not None:
                    api.make_receiver(whole, profile)
                dataset = choosing.part_of(whole)
                if len(sources) == 1:
                    choosing.refuse_unfit()
                found = inspect_document(dataset, units if values else None)
            except (SourceError, UsageError) as error:
                if len(sources) == 1:
                    raise
                told = error.told(as_option)
                with aside():
                    click.echo(f"taskdata: {told}", err=True)
                documents.append({"source": source, "error": told})
                code = max(code, error.exit_code)
                continue
            code = max(code, _output.exit_code(dataset.findings))
            if not as_json:
                with aside():
                    _show(dataset, found, units, first=not documents, single=len(sources) == 1)
            documents.append(found)
    if profile is not None:
        click.echo(f"taskdata: {profile} written: correct it from the manual of the terminal", err=True)
    choosing.refuse_unfit()
    _end(documents, units, as_json=as_json)
    return code


def _show(
    dataset: Dataset, found: dict[str, Any], units: Literal["metric", "us"], *, first: bool, single: bool
) -> None:
    """Print one set; of several the caution stands below the totals."""
    from taskdata.reports.inspect_text import inspect_lines

    if not first:
        click.echo()
    _output.print_lines(inspect_lines(dataset, found, units, caution=single))


def _end(documents: list[dict[str, Any]], units: Literal["metric", "us"], *, as_json: bool) -> None:
    """Print the document of all sources, or below their texts the totals of several."""
    from taskdata.reports.inspect_text import CAUTION
    from taskdata.reports.inspect_totals import inspect_documents, inspect_total_lines
    from taskdata.reports.styled import Line, wrapped

    if as_json:
        _output.print_document(documents[0] if len(documents) == 1 else inspect_documents(documents))
    elif len(documents) > 1:
        lines = [Line(""), *inspect_total_lines(documents, units)]
        driven = any(item.get("guidance") for item in documents)
        _output.print_lines([*lines, Line(""), *wrapped(CAUTION, style="quiet")] if driven else lines)

"""``taskdata catalogue``: the sets of an archive as one data set."""

from __future__ import annotations

from typing import Any

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

EXAMPLE = "Example: taskdata catalogue archive archive-catalogue"


@click.command("catalogue", epilog=EXAMPLE, short_help=SHORT_HELP["catalogue"])
@click.argument("folder", type=click.Path(readable=False))
@click.argument("out", type=click.Path())
@click.option("--workers", type=click.IntRange(min=1), help="Processes at a time; default: one for each processor.")
@_options.reading
@_options.json
@_options.quiet
def command(*, folder: str, out: str, workers: int | None, as_json: bool, quiet: bool, **given: Any) -> int:
    """Put every data set below FOLDER into OUT: folders of (Geo)Parquet for any GIS or query engine.

    OUT gets fields, guidance, tasks, machines, logs, findings and sets, each in folders year=2024, or year=unknown
    without dates. The same thing in many sets has one identity, by the steps of merge.

    Called again, it adds the sets that are new and touches nothing else: a set is known by its content, and rows of
    sets that are gone stay. A set that cannot be read is listed and costs no other; the exit code is 1 then, 3 if
    FOLDER holds no set that can be read, and 4 if OUT holds anything else than a catalogue.
    """
    from taskdata.batches.pool import prepare

    prepare()
    from taskdata.archives.cataloguing import catalogue
    from taskdata.reports.batch_json import batch_document
    from taskdata.reports.catalogue_text import catalogue_text

    with progress("Looking for sets", quiet=quiet):
        result = catalogue(folder, out, workers=workers, **given)
    if as_json:
        _output.print_document(batch_document(result))
    else:
        _output.print_lines(catalogue_text(result))
    return min(result.exit_code, 1)

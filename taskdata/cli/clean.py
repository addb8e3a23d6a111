"""``taskdata clean``: repair what can be repaired without guessing."""

from __future__ import annotations

from typing import Any

import click

from taskdata.cli import _options, _output, _page
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

EXAMPLE = "Example: taskdata clean stick/TASKDATA clean --review --dry-run"


@click.command("clean", epilog=EXAMPLE, short_help=SHORT_HELP["clean"])
@_options.source
@click.argument("target", type=click.Path())
@_options.to("Format of the target; default: ISO-XML, or from its name.")
@click.option("--review", is_flag=True, help="Also make repairs that involve a choice; look at the journal afterwards.")
@click.option("--only", multiple=True, metavar="RULE", help="Only this rule or family; may be repeated.")
@click.option("--except", "leave", multiple=True, metavar="RULE", help="All but this rule or family; may be repeated.")
@_options.reading
@click.option("--overwrite", is_flag=True, help="Replace a target that this program wrote.")
@click.option("--dry-run", is_flag=True, help="Show what would change and write nothing.")
@_options.report
@_options.json
@_options.quiet
def command(
    *,
    source: str,
    target: str,
    to: str | None,
    review: bool,
    only: tuple[str, ...],
    leave: tuple[str, ...],
    overwrite: bool,
    dry_run: bool,
    page: str | None,
    as_json: bool,
    quiet: bool,
    **reading: Any,
) -> int:
    """Write SOURCE, repaired, as TARGET, and record each change in a journal.

    The source is never changed. The journal is printed, and kept beside the target as TARGET.journal.json.
    """
    from taskdata import api
    from taskdata.reports.clean_json import clean_document
    from taskdata.reports.clean_text import clean_text

    _page.refuse_early(page, (source,), target, overwrite=overwrite, dry_run=dry_run)
    with progress(f"Cleaning {source}", quiet=quiet):
        result = api.clean(
            source,
            target,
            to=to,
            review=review,
            only=only,
            leave=leave,
            overwrite=overwrite,
            dry_run=dry_run,
            **reading,
        )
        _page.write_page(page, result, (source,), reading, overwrite=overwrite)
    if as_json:
        _output.print_document(clean_document(result))
    else:
        _output.print_lines(clean_text(result, dry_run=dry_run))
    return _output.exit_code(result.findings, new_errors=(*result.new_errors, *result.failed))

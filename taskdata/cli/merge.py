"""``taskdata merge``: several data sets into one."""

from __future__ import annotations

from typing import Any

import click

from taskdata.cli import _options, _output, _page
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

EXAMPLE = "Example: taskdata merge stick1/TASKDATA stick2/TASKDATA season/TASKDATA"


@click.command("merge", epilog=EXAMPLE, short_help=SHORT_HELP["merge"])
@click.argument("sources", type=click.Path(readable=False), nargs=-1, required=True, metavar="SOURCE...")
@click.argument("target", type=click.Path())
@_options.to("Format of the target; default: from its name.")
@_options.reading
@_options.choosing
@click.option("--overwrite", is_flag=True, help="Replace a target that this program wrote.")
@click.option("--dry-run", is_flag=True, help="Show what would be merged and write nothing.")
@_options.report
@_options.json
@_options.quiet
def command(
    *,
    sources: tuple[str, ...],
    target: str,
    to: str | None,
    overwrite: bool,
    dry_run: bool,
    page: str | None,
    as_json: bool,
    quiet: bool,
    **given: Any,
) -> int:
    """Merge each SOURCE into TARGET: keep once what is the same, and renumber the rest where numbers clash.

    Records are the same by link, by identifier and content, or by name and position. Matches by name or position, and
    contradictions between sources, are listed. The order of the sources does not matter, and no source is changed.
    Merged with layers of other programs, a task data set keeps its identifiers, and what is new is numbered after them;
    their lines, points and logs go to the field that they lie in.
    What --field, --task, --customer and --farm name has to be in one of the sources.
    """
    from taskdata import api
    from taskdata.reports.merge_json import merge_document
    from taskdata.reports.merge_text import merge_text

    only = _options.choice(given)
    _page.refuse_early(page, sources, target, overwrite=overwrite, dry_run=dry_run)
    with progress(f"Merging {len(sources)} sources", quiet=quiet):
        result = api.merge(sources, target, to=to, overwrite=overwrite, dry_run=dry_run, only=only, **given)
        _page.write_page(page, result, sources, given, overwrite=overwrite)
    if as_json:
        _output.print_document(merge_document(result))
    else:
        _output.print_lines(merge_text(result, dry_run=dry_run))
    return _output.exit_code(result.findings, new_errors=result.new_errors)

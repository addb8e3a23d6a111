"""``taskdata convert``: from one format to another, with a ledger of losses."""

from __future__ import annotations

from typing import Any

import click

from taskdata.cli import _options, _output, _page
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP
from taskdata.versions import writable

EXAMPLE = "Example: taskdata convert stick/TASKDATA farm.gpkg"
VERSIONS = [str(number) for number in writable()]


@click.command("convert", epilog=EXAMPLE, short_help=SHORT_HELP["convert"])
@_options.source
@click.argument("target", type=click.Path())
@_options.to("Format of the target; default: from its name.")
@click.option("--version", type=click.Choice(VERSIONS), help="Version of an ISO-XML target; default: the source's.")
@click.option("--time-zone", help="Time zone of the set, +02:00 or Europe/Berlin, to write time stamps in.")
@click.option("--receiver", type=click.Path(), help="Profile of the receiving terminal; the set is split where needed.")
@click.option("--plan-templates", is_flag=True, help="Write task templates as planned tasks, since version 3 has none.")
@click.option("--raw", is_flag=True, help="Write logs as they are stored, not as values that a person reads.")
@click.option("--simplestyle", is_flag=True, help="Of GeoJSON: say in each feature how a map draws it.")
@_options.reading
@_options.choosing
@click.option("--overwrite", is_flag=True, help="Replace a target that this program wrote.")
@click.option("--dry-run", is_flag=True, help="Show what would change and write nothing.")
@click.option("--verify", is_flag=True, help="Read the target back and compare before it is put in place.")
@_options.report
@_options.json
@_options.quiet
def command(
    *,
    source: str,
    target: str,
    to: str | None,
    version: str | None,
    time_zone: str | None,
    receiver: str | None,
    plan_templates: bool,
    raw: bool,
    simplestyle: bool,
    overwrite: bool,
    dry_run: bool,
    verify: bool,
    page: str | None,
    as_json: bool,
    quiet: bool,
    **given: Any,
) -> int:
    """Write SOURCE as TARGET, and list what the target cannot hold.

    The source is never changed, and the target is written whole or not at all.

    --field, --task, --customer and --farm take identifiers or names: what they need goes along, all else stays behind.
    Several of one option widen the choice, different options narrow it.
    """
    from taskdata import api
    from taskdata.reports.convert_json import convert_document
    from taskdata.reports.convert_text import convert_text

    only = _options.choice(given)
    _page.refuse_early(page, (source,), target, overwrite=overwrite, dry_run=dry_run)
    with progress(f"Converting {source}", quiet=quiet):
        result = api.convert(
            source,
            target,
            to=to,
            version=None if version is None else int(version),
            time_zone=time_zone,
            receiver=receiver,
            plan_templates=plan_templates,
            raw=raw,
            simplestyle=simplestyle,
            overwrite=overwrite,
            dry_run=dry_run,
            verify=verify,
            only=only,
            **given,
        )
        _page.write_page(page, result, (source,), given, overwrite=overwrite)
    if as_json:
        _output.print_document(convert_document(result))
    else:
        _output.print_lines(convert_text(result, dry_run=dry_run))
    return _output.exit_code(result.findings, new_errors=result.new_errors)

"""``taskdata check``: the audit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from taskdata.cli import _options, _output
from taskdata.errors import SourceError

if TYPE_CHECKING:
    from taskdata.checks.report import CheckReport

EXAMPLE = "Example: taskdata check stick/TASKDATA --fail-on warning"
LEVELS = ["error", "warning", "note"]


@click.command("check", epilog=EXAMPLE, short_help="Audit data sets against the standard.")
@click.argument("sources", nargs=-1, required=True, type=click.Path(), metavar="SOURCE...")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--fail-on", type=click.Choice(LEVELS), default="error", show_default=True, help="Level of exit code 1.")
@click.option("--select", multiple=True, metavar="RULE", help="Only this rule or family; may be repeated.")
@click.option("--ignore", multiple=True, metavar="RULE", help="All but this rule or family; may be repeated.")
@click.option(
    "--max-per-rule",
    type=click.IntRange(min=0),
    default=50,
    show_default=True,
    help="Findings of one rule to list, the rest is counted; 0 lists all.",
)
@click.option("--profile", type=click.Path(), metavar="FILE", help="TOML file with other tolerances of rules.")
@_options.quiet
def command(
    *,
    sources: tuple[str, ...],
    form: str,
    fail_on: str,
    select: tuple[str, ...],
    ignore: tuple[str, ...],
    max_per_rule: int,
    profile: str | None,
    quiet: bool,
) -> int:
    """Audit each SOURCE against the standard.

    Exit code 1 says that something at or above --fail-on was found, 3 that a source could not be read. JSON is one
    document; with several sources it is {"sources": [...]}, where a source that could not be read has an "error".
    """
    from taskdata import api
    from taskdata.findings import Severity

    documents: list[dict[str, Any]] = []
    choice: dict[str, Any] = {"select": select, "ignore": ignore, "max_per_rule": max_per_rule, "profile": profile}
    code = 0
    for number, source in enumerate(sources):
        try:
            with _output.progress(f"Checking {source}", quiet=quiet):
                report = api.check(source, **choice)
        except SourceError as error:
            if len(sources) == 1:
                raise
            click.echo(f"taskdata: {error}", err=True)
            documents.append({"source": source, "error": str(error)})
            code = error.exit_code
            continue
        code = max(code, int(report.reaches(Severity(fail_on))))
        documents.append(_show(report, form, first=number == 0))
    if form == "json":
        _output.print_document(documents[0] if len(sources) == 1 else {"sources": documents})
    return code


def _show(report: CheckReport, form: str, *, first: bool) -> dict[str, Any]:
    """Print the text of a report, or return its document."""
    from taskdata.reports.check_json import check_document
    from taskdata.reports.check_text import check_text

    if form == "json":
        return check_document(report)
    if not first:
        click.echo()
    _output.print_lines(check_text(report))
    return {}

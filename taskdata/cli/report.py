"""``taskdata report``: a page of a set that opens in any browser."""

from __future__ import annotations

from typing import Any

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP
from taskdata.translations import LANGUAGES

EXAMPLE = "Example: taskdata report stick/TASKDATA page.html"


@click.command("report", epilog=EXAMPLE, short_help=SHORT_HELP["report"])
@_options.source
@click.argument("target", type=click.Path())
@click.option("--against", type=click.Path(), help="Another set: list what differs in SOURCE, and draw what moved.")
@click.option("--line", help="Guidance line to compare passes with; default: the one that most run along.")
@click.option("--language", type=click.Choice(LANGUAGES), default=LANGUAGES[0], show_default=True, help="Of the page.")
@_options.units
@_options.reading
@click.option("--overwrite", is_flag=True, help="Replace a page that this program wrote.")
@_options.quiet
def command(
    *,
    source: str,
    target: str,
    against: str | None,
    line: str | None,
    language: Any,
    units: Any,
    overwrite: bool,
    quiet: bool,
    **given: Any,
) -> int:
    """Write a page of SOURCE as TARGET.html, or its map alone as TARGET.svg.

    The page is one file. It opens without a network, prints on A4, and shows what is in the set on a map, what the
    check finds, and what was worked.
    """
    from taskdata import api
    from taskdata.reports.report_text import report_text

    with progress(f"Reading {source}", quiet=quiet):
        result = api.report(
            source, target, against=against, line=line, language=language, units=units, overwrite=overwrite, **given
        )
    _output.print_lines(report_text(result))
    return _output.exit_code(result.findings)

"""``taskdata check``: the audit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import in_turn, progress
from taskdata.cli._short_help import SHORT_HELP
from taskdata.errors import SourceError, UsageError

if TYPE_CHECKING:
    from taskdata.results.audit import CheckReport, UnreadSource

EXAMPLE = "Example: taskdata check stick/TASKDATA --fail-on warning"
LEVELS = ["error", "warning", "note"]
FORMS = ["text", "json", "sarif", "junit"]
FILE = click.Path(readable=False)


@click.command("check", epilog=EXAMPLE, short_help=SHORT_HELP["check"])
@click.argument("sources", nargs=-1, required=True, type=FILE, metavar="SOURCE...")
@click.option(
    "--format",
    "form",
    type=click.Choice(FORMS, case_sensitive=False),
    default="text",
    show_default=True,
    help="What to print.",
)
@click.option(
    "--fail-on",
    type=click.Choice(LEVELS, case_sensitive=False),
    default="error",
    show_default=True,
    help="Severity from which the exit code is 1.",
)
@click.option("--select", multiple=True, metavar="RULE", help="Only this rule or family; may be repeated.")
@click.option("--ignore", multiple=True, metavar="RULE", help="All but this rule or family; may be repeated.")
@click.option(
    "--max-per-rule",
    type=click.IntRange(min=0),
    default=50,
    show_default=True,
    help="Findings of one rule to list; the rest are counted. 0 lists all.",
)
@click.option("--profile", type=FILE, metavar="FILE", help="TOML file with your own tolerances for rules.")
@click.option("--receiver", type=FILE, metavar="FILE", help="TOML file that says what the receiving terminal accepts.")
@click.option("--baseline", "accepted", type=FILE, metavar="FILE", help="File of known findings, not reported again.")
@click.option(
    "--write-baseline",
    "known",
    type=FILE,
    metavar="FILE",
    help="Write all findings of SOURCE to a file of known findings.",
)
@_options.reading
@_options.quiet
def command(
    *,
    sources: tuple[str, ...],
    form: str,
    fail_on: str,
    known: str | None,
    quiet: bool,
    **choice: Any,
) -> int:
    """Check each SOURCE against the standard and, with --receiver, against one receiving terminal.

    Each data set in a folder, stick or archive counts as a source. Exit code 1 means that something at or above
    --fail-on was found, 3 that a source could not be read. Several sources end in totals; JSON is then {"sources":
    [...], "totals": {...}}, and a source that could not be read has an "error". SARIF and JUnit XML are for code hosts
    and build servers. taskdata inspect --make-receiver writes a first FILE for --receiver. --write-baseline never
    replaces an existing FILE, and prints no findings.
    """
    from taskdata import api
    from taskdata.arguments import as_option
    from taskdata.findings import Severity
    from taskdata.results.audit import UnreadSource

    if known is not None:
        return _write_baseline(sources, known, choice, quiet=quiet)
    outcomes: list[CheckReport | UnreadSource] = []
    code = 0
    sources = tuple(each for source in sources for each in _sets_in(source))
    with progress("Checking", quiet=quiet) as aside:
        for source in in_turn(sources, "Checking"):
            try:
                report = api.check(source, **choice, repairs=form == "json")
            except SourceError as error:
                if len(sources) == 1:
                    raise
                told = error.told(as_option)
                with aside():
                    _output.say(told)
                outcomes.append(UnreadSource(source, told))
                code = error.exit_code
                continue
            code = max(code, int(report.reaches(Severity(fail_on))))
            if form == "text":
                with aside():
                    _show(report, first=not outcomes, single=len(sources) == 1)
            outcomes.append(report)
    _print(outcomes, form, Severity(fail_on))
    return code


def _sets_in(source: str) -> tuple[str, ...]:
    """Return the sets in a source, and say which layers beside several of them are not checked."""
    from taskdata import api

    found = api.find_sets(source)
    layers = api.beside_sets(source) if len(found) > 1 else ()
    if layers:
        count = "1 layer beside them is" if len(layers) == 1 else f"{len(layers)} layers beside them are"
        remedy = "Name each that is to be checked too"
        text = f"holds {len(found)} sets; {count} not checked, such as {layers[0]}"
        _output.say(f"{source}: {text}. {remedy}")
    return found


def _write_baseline(sources: tuple[str, ...], target: str, choice: dict[str, Any], *, quiet: bool) -> int:
    from taskdata import api
    from taskdata.checks.baseline import write_baseline

    sources = tuple(each for source in sources for each in api.find_sets(source))
    if len(sources) > 1 or choice["accepted"] is not None:
        remedy = "Give one SOURCE and no --baseline; everything found in it is written"
        raise UsageError("--write-baseline takes the findings of one source", where=target, remedy=remedy)
    with progress(f"Checking {sources[0]}", quiet=quiet):
        report = api.check(sources[0], **{**choice, "max_per_rule": 0})
    write_baseline(target, report.findings)
    _output.say(f"{target} written: known findings: {len(report.findings)}")
    return 0


def _show(report: CheckReport, *, first: bool, single: bool) -> None:
    """Print one report; of several the caution stands below the totals."""
    from taskdata.reports.check_text import check_text

    if not first:
        click.echo()
    _output.print_lines(check_text(report, caution=single))


def _print(outcomes: list[CheckReport | UnreadSource], form: str, fail_on: Any) -> None:
    """Print all reports as one document, where a document was asked for; below texts the totals of several."""
    if form == "text" and len(outcomes) > 1:
        from taskdata.reports.check_text import CAUTION
        from taskdata.reports.check_totals import check_total_lines
        from taskdata.reports.styled import Line, wrapped

        lines = check_total_lines(outcomes)
        _output.print_lines([Line(""), *lines, Line(""), *wrapped(CAUTION, style="quiet")])
    elif form == "json":
        from taskdata.reports.check_json import check_documents

        _output.print_document(check_documents(outcomes))
    elif form == "sarif":
        from importlib import metadata

        from taskdata import api
        from taskdata.reports.check_sarif import sarif_document

        _output.print_document(sarif_document(outcomes, api.rules(), metadata.version("taskdata")))
    elif form == "junit":
        from taskdata.reports.check_junit import junit_text

        click.echo(junit_text(outcomes, fail_on), nl=False)

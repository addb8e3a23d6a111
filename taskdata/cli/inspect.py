"""``taskdata inspect``: what is in data sets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal

import click

from taskdata.cli import _options, _output
from taskdata.cli._progress import in_turn, progress
from taskdata.cli._short_help import SHORT_HELP
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UsageError

if TYPE_CHECKING:
    from taskdata.api import Choosing
    from taskdata.findings import Finding
    from taskdata.reports.styled import Line

EXAMPLE = "Example: taskdata inspect stick/TASKDATA"


@click.command("inspect", epilog=EXAMPLE, short_help=SHORT_HELP["inspect"])
@click.argument("sources", nargs=-1, required=True, type=click.Path(readable=False), metavar="SOURCE...")
@_options.reading
@_options.choosing
@click.option("--make-receiver", "profile", type=click.Path(), metavar="FILE", help="Write a profile of this terminal.")
@click.option(
    "--make-mapping", "mapping_file", type=click.Path(), metavar="FILE", help="Write what layers were taken for."
)
@click.option("--values", is_flag=True, help="Also show rates, constants and logged values.")
@_options.units
@_options.json
@_options.quiet
def command(
    *,
    sources: tuple[str, ...],
    profile: str | None,
    mapping_file: str | None,
    values: bool,
    units: Literal["metric", "us"],
    as_json: bool,
    quiet: bool,
    **given: Any,
) -> int:
    """Show where each SOURCE lies, and its farms, fields with areas, guidance lines, machines, tasks and logs.

    Of a stick, folder or archive with several things, and of layers of another program, each thing is listed instead:
    the path to give, what it most likely is and why, how much of it, where it lies, and what was left aside.
    --make-mapping writes that as a TOML file to correct and give back with --mapping.

    --make-receiver infers from a set that a terminal wrote what that terminal accepts, and writes a first profile for
    taskdata check --receiver; it never replaces a file (exit code 4). --values shows numbers with the set's own offset,
    scale, decimals and unit, or else those of the data dictionary, in --units. Several sources end in totals; JSON is
    then {"sources": [...], "totals": {...}}. Where the screen can show it, each field has a small outline. What
    --field, --task, --customer and --farm name has to be in one of the sources.
    """
    from taskdata import api
    from taskdata.arguments import as_option

    _refuse_several(sources, profile=profile, mapping_file=mapping_file)
    documents: list[dict[str, Any]] = []
    choosing = api.Choosing(_options.choice(given))
    inspecting = _Inspecting(choosing, units, given, values=values, single=len(sources) == 1, drawn=_output.draws())
    code = 0
    with progress("Reading", quiet=quiet) as aside:
        for source in in_turn(sources, "Reading"):
            try:
                found, lines, findings = inspecting.look_at(source, profile, mapping_file)
            except (SourceError, UsageError) as error:
                if len(sources) == 1:
                    raise
                told = error.told(as_option)
                with aside():
                    _output.say(told)
                documents.append({"source": source, "error": told})
                code = max(code, error.exit_code)
                continue
            code = max(code, _output.exit_code(findings))
            if not as_json:
                with aside():
                    click.echo("\n" * bool(documents), nl=False)
                    _output.print_lines(lines)
            documents.append(found)
    for written, of in ((profile, "from the manual of the terminal"), (mapping_file, "from what you know")):
        if written is not None:
            _output.say(f"{written} written: correct it {of}")
    choosing.refuse_unfit()
    _end(documents, units, as_json=as_json)
    return code


def _refuse_several(sources: tuple[str, ...], *, profile: str | None, mapping_file: str | None) -> None:
    for option, file in (("--make-receiver", profile), ("--make-mapping", mapping_file)):
        if file is not None and len(sources) > 1:
            raise UsageError(f"{option} takes one source", where=file, remedy="Give one SOURCE")


@dataclass
class _Inspecting:
    """How each source is looked at: as one set, or as a stick with several things."""

    choosing: Choosing
    units: Literal["metric", "us"]
    reading: dict[str, Any]
    values: bool
    single: bool
    drawn: bool

    def look_at(
        self, source: str, profile: str | None, mapping_file: str | None
    ) -> tuple[dict[str, Any], list[Line], Sequence[Finding]]:
        """Return the document of a source, its text, and what reading it found."""
        from taskdata import api
        from taskdata.reports.inspect import inspect_document
        from taskdata.reports.inspect_text import inspect_lines
        from taskdata.reports.survey_json import survey_document
        from taskdata.reports.survey_text import survey_lines

        if mapping_file is not None:
            survey = api.make_mapping(source, mapping_file, **self.reading)
        elif profile is not None or self.choosing.choice:
            survey = None
        else:
            survey = api.survey_of_several(source, **self.reading)
        if survey is not None:
            return survey_document(survey), survey_lines(survey, self.units), survey.findings
        whole = api.read(source, partial=True, **self.reading)
        if profile is not None:
            api.make_receiver(whole, profile)
        dataset = self.choosing.part_of(whole)
        if self.single:
            self.choosing.refuse_unfit()
        found = inspect_document(dataset, self.units if self.values else None)
        lines = inspect_lines(dataset, found, self.units, caution=self.single, drawn=self.drawn)
        return found, lines, dataset.findings


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

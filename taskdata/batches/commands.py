"""The commands that may be done with many sources, each from a source on disk to a JSON document and a target."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from pathlib import Path
from typing import Any, cast

from taskdata import api
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.file_formats.declaration import Layers
from taskdata.file_formats.table import ISOXML, format_named, joined, writable_names
from taskdata.findings import Finding, Severity, unread_of
from taskdata.formats.foreign.options import Reading
from taskdata.model.dataset import Dataset
from taskdata.model.whereabouts import bounds
from taskdata.reports.check_json import check_document
from taskdata.reports.clean_json import clean_document
from taskdata.reports.convert_json import convert_document
from taskdata.reports.coverage_json import coverage_document
from taskdata.reports.coverage_text import warnings_of
from taskdata.reports.inspect import inspect_document

Box = tuple[float, float, float, float]
Options = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Done:
    """What a command did with one source: its document, exit code, target, and facts for the summary."""

    document: dict[str, Any]
    exit: int
    target: Path | None = None
    bounds: Box | None = None
    counts: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Command:
    """A command of batches.

    Parameters
    ----------
    run : callable
        Takes the source, the path of the target without an ending, and the options.
    doing : str
        What it does, for progress.
    own : frozenset of str
        Options that it has beside those of reading.
    writes : bool
        Whether it writes a target beside its document.
    """

    run: Callable[[str, Path, Options], Done]
    doing: str
    own: frozenset[str]
    writes: bool = False


def command_named(name: str) -> Command:
    """Return a command.

    Raises
    ------
    UsageError
        It is none of those that take one source and give one result.
    """
    if name not in COMMANDS:
        remedy = f"Choose one of {joined(list(COMMANDS))}"
        raise UsageError("is not a command for many sources", where=name, remedy=remedy)
    return COMMANDS[name]


def refuse_options(name: str, options: Mapping[str, Any]) -> None:
    """Refuse what is wrong with options before any source is looked at.

    Raises
    ------
    UsageError
        The command does not have an option, or there is no rule, level, format or file of that name.
    """
    known = command_named(name).own | set(Reading.__annotations__)
    unknown = next((option for option in options if option not in known), None)
    if unknown is not None:
        remedy = f"Options of it are {joined(sorted(known))}"
        raise UsageError(f"{name} of many sources has no option {unknown!r}", remedy=remedy)
    levels = [str(level) for level in Severity]
    if options.get("fail_on", levels[0]) not in levels:
        raise UsageError(f"there is no severity {options['fail_on']!r}", remedy=f"Choose one of {joined(levels)}")
    if name == "check":
        _check(Dataset("", ISOXML), dict(options))
    if name in {"convert", "clean"} and options.get("to") not in {
        *writable_names(),
        *([None] if name == "clean" else []),
    }:
        raise UsageError(
            f"{name} of many sources needs a format", remedy=f"Give [[to]], one of {joined(writable_names())}"
        )


def _check(data: Dataset, options: Options) -> Done:
    level = Severity(options.pop("fail_on", "error"))
    report = api.check(data, **options, repairs=True)
    return Done(check_document(report), int(report.reaches(level)), counts=report.summary)


def _checked(source: str, target: Path, options: Options) -> Done:
    data = api.read(source, partial=True, **_reading(options))
    done = _check(data, options)
    return Done(done.document, done.exit, bounds=bounds(data), counts=done.counts)


def _inspected(source: str, target: Path, options: Options) -> Done:
    units = options.pop("units", None)
    choosing = api.Choosing(options.pop("only", {}))
    data = choosing.part_of(api.read(source, partial=True, **_reading(options)))
    choosing.refuse_unfit()
    document = inspect_document(data, units)
    return Done(document, _code(data.findings), bounds=bounds(data), counts=data.counts)


def _converted(source: str, target: Path, options: Options) -> Done:
    place = _with_ending(target, options["to"])
    result = api.convert(source, place, **options, overwrite=True)
    return Done(
        convert_document(result),
        _code(result.findings, result.new_errors),
        None if options.get("dry_run") else place,
        result.bounds,
        {**result.written, "losses": len(result.losses)},
    )


def _cleaned(source: str, target: Path, options: Options) -> Done:
    place = _with_ending(target, options.get("to") or ISOXML)
    result = api.clean(source, place, **options, overwrite=True)
    return Done(
        clean_document(result),
        _code(result.findings, (*result.new_errors, *result.failed)),
        None if options.get("dry_run") else place,
        result.bounds,
        {"changes": len(result.changes), **result.after},
    )


def _covered(source: str, target: Path, options: Options) -> Done:
    data = api.read(source, partial=True, **_reading(options))
    result = api.coverage(data, **options)
    document = coverage_document(result, warnings_of(result.tasks))
    return Done(document, _code(result.findings), bounds=bounds(data), counts={"tasks": len(result.tasks)})


def _reading(options: Options) -> Reading:
    """Take what is said about the source out of options."""
    return cast(Reading, {name: options.pop(name) for name in Reading.__annotations__ if name in options})


def _code(findings: tuple[Finding, ...], new_errors: tuple[Finding, ...] = ()) -> int:
    return int(bool(unread_of(findings)) or bool(new_errors))


def _with_ending(target: Path, to: str) -> Path:
    """Return the path of a target: with the ending of its format where that is one file."""
    form = format_named(to)
    return target.with_name(target.name + form.suffix) if to != ISOXML and form.layers is Layers.SEVERAL else target


_COVERAGE = "task field together line implement device delay_s switching accuracy_m ignore_under_m2 measured moisture"
COMMANDS = {
    "check": Command(
        _checked,
        "Checking",
        frozenset(["select", "ignore", "max_per_rule", "profile", "receiver", "accepted", "fail_on"]),
    ),
    "inspect": Command(_inspected, "Reading", frozenset({"only", "units"})),
    "convert": Command(
        _converted,
        "Converting",
        frozenset(["to", "version", "time_zone", "receiver", "plan_templates", "raw", "dry_run", "verify", "only"]),
        writes=True,
    ),
    "clean": Command(_cleaned, "Cleaning", frozenset(["to", "review", "only", "leave", "dry_run"]), writes=True),
    "coverage": Command(_covered, "Computing coverage", frozenset([*_COVERAGE.split(), "cell_m"])),
}

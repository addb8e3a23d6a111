"""What lies on a stick, for a person: each thing with the path to give, and what was left aside."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.amounts import counted
from taskdata.file_formats.table import label_of
from taskdata.findings import Finding, Severity
from taskdata.reports.inspect_text import Units, length_text
from taskdata.reports.reading import noticed, unread_lines
from taskdata.reports.styled import Line, wrapped
from taskdata.results.survey import Item, ItemKind, Survey

_WORDS = {
    ItemKind.TASKDATA: "task data set",
    ItemKind.FIELD: "fields",
    ItemKind.AREA: "other areas",
    ItemKind.LINE: "lines",
    ItemKind.GUIDANCE: "guidance lines",
    ItemKind.SWATH: "swaths",
    ItemKind.POINT: "points",
    ItemKind.LOG: "log",
    ItemKind.RATEMAP: "rate map",
    ItemKind.OTHER: "something else",
}
_SHOWN = 8
_OF_SYSTEMS = "import.crs-"


def survey_lines(survey: Survey, units: Units = "metric") -> list[Line]:
    """Return a survey as styled lines of 80 columns."""
    left = f", {counted(len(survey.aside), 'file')} left aside" if survey.aside else ""
    lines = [Line(survey.source, "heading"), Line(f"{counted(len(survey.items), 'thing')} found{left}")]
    for item in survey.items:
        lines += [Line(""), Line(f"  {item.path}", "heading"), *_item(item, units)]
    if survey.aside:
        lines += [Line(""), Line("Left aside", "heading"), *_aside(survey)]
    unread = unread_lines(survey.findings)
    lines += [Line(""), *unread] if unread else []
    found = noticed([finding for finding in survey.findings if not _is_told(finding)])
    lines += [Line(""), *found] if found else []
    if survey.items and survey.items[0].path != ".":
        text = f"Each path is a source below {survey.source}; layers are taken together, --take PATTERN chooses."
        lines += [Line(""), *wrapped(text, style="quiet")]
    return lines


def _is_told(finding: Finding) -> bool:
    """Tell whether what stands beside the things says it already, or it is a note on how one of them is read."""
    return finding.severity is Severity.NOTE or finding.rule.id.startswith(_OF_SYSTEMS)


def _item(item: Item, units: Units) -> Iterator[Line]:
    rows = {ItemKind.LOG: "position", ItemKind.TASKDATA: "element", ItemKind.RATEMAP: "row"}.get(item.kind, "row")
    sure = "" if item.confidence >= 1.0 else f" ({item.confidence:.0%} sure)"
    facts = [f"{_WORDS[item.kind]}{sure}", counted(item.rows, rows), label_of(item.format)]
    facts += [item.crs] if item.crs is not None and item.kind is not ItemKind.TASKDATA else []
    facts += [f"width {length_text(item.width_m, units, 2)}"] if item.width_m is not None else []
    yield from wrapped(", ".join(facts), 4, hanging=2)
    yield from wrapped(_where(item), 4, hanging=2)
    yield from wrapped(f"Because {item.why}.", 4, hanging=2)
    columns = ", ".join(f"{role} in {' and '.join(names)}" for role, names in item.columns.items())
    if columns:
        yield from wrapped(f"Columns: {columns}.", 4, hanging=2)
    if item.guess is not None:
        text = f"It may be in {item.guess.crs}: {'; '.join(item.guess.reasons)}. --accept-guess or --crs uses it."
        yield from wrapped(text, 4, hanging=2, style="warning")


def _where(item: Item) -> str:
    if item.bounds is None:
        return "It is not known where it lies."
    west, south, east, north = item.bounds
    return f"From {_degrees(south, 'NS')}, {_degrees(west, 'EW')} to {_degrees(north, 'NS')}, {_degrees(east, 'EW')}"


def _degrees(value: float, letters: str) -> str:
    return f"{abs(value):.5f} {letters[value < 0.0]}"


def _aside(survey: Survey) -> Iterator[Line]:
    reasons: dict[str, list[str]] = {}
    for path, why in survey.aside:
        reasons.setdefault(why, []).append(path)
    for why, paths in reasons.items():
        more = [f"{len(paths) - _SHOWN} others"] if len(paths) > _SHOWN else []
        yield from wrapped(f"{', '.join([*paths[:_SHOWN], *more])}: {why}", 2, hanging=2)

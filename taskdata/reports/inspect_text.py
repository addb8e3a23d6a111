"""What is in a set, for a person."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import repeat
from typing import Any, Literal, TypeAlias

from taskdata.file_formats.table import label_of
from taskdata.model.dataset import Dataset
from taskdata.reports.choosing import chosen_lines
from taskdata.reports.inspect import inspect_document
from taskdata.reports.outlines import COLUMNS, outline
from taskdata.reports.reading import counts_text, unread_lines
from taskdata.reports.remembered import MEMORY, remembered_lines
from taskdata.reports.styled import WIDTH, Line, plain, wrapped
from taskdata.reports.values import span_text
from taskdata.reports.words import counted

Units: TypeAlias = Literal["metric", "us"]
ACRE_M2 = 4046.8564224
"""International acre (43560 square feet of 0.3048 m), exact."""
FOOT_M = 0.3048
HECTARE_M2 = 10_000.0
CAUTION = "Before you drive a line from here: check the first pass by eye and keep people clear."
KINDS = {
    "ab": "A-B line",
    "a_plus": "A+ and heading",
    "curve": "curve",
    "pivot": "pivot",
    "spiral": "spiral",
}
ORIGINS = {"FMIS": "last written by office software", "MICS": "last written by a machine"}


def inspect_text(dataset: Dataset, units: Units = "metric", *, values: bool = False) -> str:
    """Return what is in a set as text of 80 columns; ``units`` changes what is shown alone."""
    return plain(inspect_lines(dataset, inspect_document(dataset, units if values else None), units))


def inspect_lines(
    dataset: Dataset, found: dict[str, Any], units: Units = "metric", *, caution: bool = True, drawn: bool = False
) -> list[Line]:
    """Return what is in a set as styled lines: where it lies, and its things by kind, tasks with their logs.

    Parameters
    ----------
    dataset : Dataset
    found : dict
        The document of it; where that has values, they are shown too.
    units : "metric" or "us"
    caution : bool
        End with what to mind before a line is driven, where there is one.
    drawn : bool
        Draw the outline of each field below its row, in Braille characters.
    """
    pictures = [outline(field.boundaries) for field in dataset.fields] if drawn else []
    names = {field.id: field.name for field in dataset.fields}
    blocks = [
        _listed("Farms", _farms(dataset)),
        _listed(_fields_title(found["fields"], units), (_field(item, units) for item in found["fields"]), pictures),
        _listed("Guidance lines", (_guidance(item, names, units) for item in found["guidance"])),
        _listed("Crops", map(_crop, found["crops"])),
        _listed("Products", map(_product, found["products"])),
        _listed("Workers", ((item["id"], _person(item), []) for item in found["workers"])),
        _listed("Machines", (_machine(item, units) for item in found["machines"])),
        _listed("Tasks", (_task(item, names) for item in found["tasks"])),
    ]
    lines = _head(dataset, found)
    for block in blocks:
        lines += [Line(""), *block] if block else []
    remembered = remembered_lines(_remembered(found))
    lines += [Line(""), *remembered] if remembered else []
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")] if caution and found["guidance"] else lines


def _remembered(found: dict[str, Any]) -> Iterator[int]:
    """Yield the quantities shown by rows of the dictionary that are from memory."""
    logs = [log for task in found["tasks"] for log in task["logs"]]
    for holder in (*found["machines"], *found["tasks"], *logs):
        yield from (int(value["ddi"], 16) for value in holder.get("values", ()) if value["basis"] == MEMORY)


def area_text(square_metres: float, units: Units) -> str:
    """Return an area in hectares or acres, small ones with more digits; less than half a square metre is none."""
    size, unit = (HECTARE_M2, "ha") if units == "metric" else (ACRE_M2, "ac")
    value = square_metres / size
    return f"{value:.2f} {unit}" if value >= 0.1 or value < 0.00005 else f"{value:.4f} {unit}"


def length_text(metres: float, units: Units, digits: int = 1) -> str:
    """Return a length in metres or feet."""
    return f"{metres:.{digits}f} m" if units == "metric" else f"{metres / FOOT_M:.{digits}f} ft"


def kind_text(kind: str, heading_deg: float | None, length: str | None = None) -> str:
    """Return the kind of a guidance line with its length and heading, such as ``A-B line, 380.1 m, heading 88.40°``."""
    text = ", ".join(filter(None, (KINDS[kind], length)))
    if heading_deg is None:
        return text
    heading = f"{round(heading_deg, 2) % 360.0:.2f}°"  # below a full turn, rounded as well
    return f"{text} {heading}" if text.endswith("heading") else f"{text}, heading {heading}"


def _head(dataset: Dataset, found: dict[str, Any]) -> list[Line]:
    facts = [label_of(dataset.format)]
    facts += [f"version {found['version']}"] if found["version"] else []
    facts += [ORIGINS[dataset.origin]] if dataset.origin in ORIGINS else []
    lines = [Line(dataset.source, "heading"), *wrapped(", ".join(facts))]
    if found["centre"] is not None:
        lon, lat = found["centre"]
        lines.append(Line(f"Centre: {_degrees(lat, 'NS')}, {_degrees(lon, 'EW')}"))
    lines += chosen_lines(dataset.chosen)
    if dataset.findings:
        things = counted(len(dataset.findings), "thing")
        lines += wrapped(
            f"Reading found {things} to look at; taskdata check lists each with its place.", style="warning"
        )
    unread = unread_lines(dataset.findings)
    lines += unread
    if unread and any(task["logs"] or task["grid"] for task in found["tasks"]):
        lines += wrapped(f"Read: {_read(found['tasks'])}.", hanging=2)
    return lines


def _read(tasks: list[dict[str, Any]]) -> str:
    """Return how many logs and grids were read, and of how many where some were not."""
    logs = [log["records"] for task in tasks for log in task["logs"]]
    grids = [task["grid"]["read"] for task in tasks if task["grid"] is not None]
    counts = {"logs": sum(length is not None for length in logs), "grids": sum(grids)}
    counts["log_records"] = sum(filter(None, logs))
    return counts_text(counts, {"logs": len(logs), "grids": len(grids)})


def _listed(title: str, rows: Iterable[tuple[str, str, list[str]]], pictures: Sequence[list[str]] = ()) -> list[Line]:
    """Return a heading and a row each: identifier, what it is, and more and its picture beneath."""
    found = list(rows)
    width = max((len(identifier) for identifier, _, _ in found), default=0)
    lines = [Line(title, "heading")] if found else []
    for (identifier, text, more), picture in zip(found, pictures or repeat([]), strict=False):
        head = f"{identifier:<{width}}  " if width else ""
        lines += wrapped(f"{head}{text}", 2, hanging=len(head) or 2)
        for item in more:
            lines += wrapped(item, width + 6, hanging=2)
        lines += [Line(f"{'':{min(width + 6, WIDTH - COLUMNS)}}{row}") for row in picture]
    return lines


def _degrees(value: float, letters: str) -> str:
    """Return degrees to about a metre."""
    return f"{abs(value):.5f} {letters[value < 0.0]}"


def _crop(item: dict[str, Any]) -> tuple[str, str, list[str]]:
    varieties = ", ".join(variety["name"] or "unnamed" for variety in item["varieties"])
    name = item["name"] or "unnamed"
    return item["id"], f"{name}: {varieties}" if varieties else name, []


def _product(item: dict[str, Any]) -> tuple[str, str, list[str]]:
    name = item["name"] or "unnamed"
    return item["id"], f"{name}, a mixture" if item["mixture"] else name, []


def _person(item: dict[str, Any]) -> str:
    return " ".join(filter(None, (item["first_name"], item["name"]))) or "unnamed"


def _farms(dataset: Dataset) -> Iterator[tuple[str, str, list[str]]]:
    customers = {item.id: " ".join(filter(None, (item.first_name, item.name))) for item in dataset.customers}
    for farm in dataset.farms:
        owner = customers.get(farm.customer or "")
        yield farm.id, f"{farm.name}, {owner}" if owner else farm.name, []


def _fields_title(fields: list[dict[str, Any]], units: Units) -> str:
    return f"Fields ({area_text(sum(item['area_m2'] for item in fields), units)})"


def _field(item: dict[str, Any], units: Units) -> tuple[str, str, list[str]]:
    if not item["polygons"]:
        facts = ["no boundary"]
    else:
        facts = [area_text(item["area_m2"], units), f"perimeter {length_text(item['perimeter_m'], units, 0)}"]
    facts += [counted(item["polygons"], "part")] if item["polygons"] > 1 else []
    facts += [counted(item["holes"], "hole")] if item["holes"] else []
    return item["id"], f"{item['name']}: {', '.join(facts)}", []


def _guidance(item: dict[str, Any], names: dict[str, str], units: Units) -> tuple[str, str, list[str]]:
    length = None if item["length_m"] is None else length_text(item["length_m"], units)
    facts = [kind_text(item["kind"], item["heading_deg"], length)]
    facts += [f"radius {length_text(item['radius_m'], units)}"] if item["radius_m"] is not None else []
    facts += [f"spacing {length_text(item['spacing_m'], units, 2)}"] if item["spacing_m"] is not None else []
    where = names.get(item["field"] or "")
    text = f"{item['name'] or 'unnamed'}: {', '.join(facts)}"
    return item["id"], f"{text}; in {where}" if where else text, []


def _machine(item: dict[str, Any], units: Units) -> tuple[str, str, list[str]]:
    facts = [f"working width {length_text(item['working_width_m'], units, 2)}"] if item["working_width_m"] else []
    facts += [counted(item["sections"], "section")] if item["sections"] else []
    name = item["name"] or "unnamed"
    more = [f"{part}: {'; '.join(texts)}" for part, texts in _by_part(item.get("values", ())).items()]
    return item["id"], f"{name}: {', '.join(facts)}" if facts else name, more


def _by_part(values: Iterable[dict[str, Any]]) -> dict[str, list[str]]:
    """Return the values of each part as texts, in their order."""
    found: dict[str, list[str]] = {}
    for value in values:
        found.setdefault(value["part"], []).append(span_text(value))
    return found


def _task(item: dict[str, Any], names: dict[str, str]) -> tuple[str, str, list[str]]:
    facts = [item["status"] or "status unknown"]
    facts += [f"in {names.get(item['field'], item['field'])}"] if item["field"] else []
    more = [f"rate: {_for(value)}" for value in item.get("values", ())]
    for log in item["logs"]:
        more += [_log(log), *(f"logged by {value['part']}: {span_text(value)}" for value in log.get("values", ()))]
    if item["grid"] is not None:
        kind = "zones" if item["grid"]["type"] == 1 else "setpoints"
        unread = "" if item["grid"]["read"] else "; it could not be read"
        more.append(f"grid of {kind}, {item['grid']['columns']} x {item['grid']['rows']} cells{unread}")
    return item["id"], f"{item['name'] or 'unnamed'}: {', '.join(facts)}", more


def _for(value: dict[str, Any]) -> str:
    """Return a wanted value with what it is of."""
    return ", ".join(filter(None, (span_text(value), value["product"], value["part"])))


def _log(log: dict[str, Any]) -> str:
    if log["records"] is None:
        return f"log {log['file']}: could not be read"
    text = f"log {log['file']}: {counted(log['records'], 'record')}"
    return f"{text}, {_spoken(log['start'])} to {_spoken(log['end'])}" if log["start"] else text


def _spoken(stamp: str) -> str:
    return stamp.replace("T", " ").partition(".")[0]

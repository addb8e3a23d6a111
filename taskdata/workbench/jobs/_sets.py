"""What several kinds of work share: reading the set, its map, and options as they come from the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from taskdata.api.dataset import Dataset
from taskdata.api.reading import read
from taskdata.errors import UsageError
from taskdata.page.content import Content
from taskdata.page.wording import Wording
from taskdata.reports.inspect import inspect_document
from taskdata.results.audit import CheckReport
from taskdata.translations import LANGUAGES
from taskdata.workbench.bench import Bench
from taskdata.workbench.drawing import Drawing
from taskdata.workbench.history import Done
from taskdata.workbench.state import named

READING = {"crs": str, "accept_guess": bool, "derive_fields": bool, "rescue": bool, "take": list}
"""What a page may say of how layers are read, and the type of each."""
SHOWN = 100
"""So many findings or changes of one rule a page shows."""


def opening(bench: Bench, path: Path | None = None, known: dict[str, Any] | None = None) -> Callable[[], Dataset]:
    """Return a function that reads the set that the next step works on, or another one.

    Parameters
    ----------
    known : dict, optional
        Arguments of reading; default those that the page gave.
    """
    return partial(read, bench.current if path is None else path, **(reading(bench) if known is None else known))


def reading(bench: Bench) -> dict[str, Any]:
    """Return the arguments of reading that the page gave, as long as the set is the one that was dropped."""
    for step in reversed(bench.steps):
        if step.kind == "look":
            return known_reading(step.options.get("reading"))
        if step.done.path is not None:
            return {}
    return {}


def known_reading(given: Any) -> dict[str, Any]:
    """Return what of a page's options are arguments of reading."""
    said = given if isinstance(given, dict) else {}
    return {name: value for name, kind in READING.items() if isinstance(value := said.get(name), kind) and value}


def drawing(bench: Bench, options: dict[str, Any], content: Content, again: Callable[[], Content]) -> Drawing:
    """Return the map of a step, drawn for the page that asked for it.

    Parameters
    ----------
    content : Content
        What it shows.
    again : callable
        Returns the same once more, for a page in another language.
    """
    name = partial(named, folder=bench.folder, sources=bench.sources, json=True)
    found = Drawing(bench.fresh_folder(), again, name)
    found.path(wording(options), content)
    return found


def plain_drawing(bench: Bench, options: dict[str, Any], shown: Dataset, again: Callable[[], Dataset]) -> Drawing:
    """Return the map of a set that was not checked; ``again`` reads it once more."""

    def content(dataset: Dataset) -> Content:
        return Content(dataset, unchecked(dataset))

    return drawing(bench, options, content(shown), lambda: content(again()))


def new_set(bench: Bench, options: dict[str, Any], found: dict[str, Any], target: Path, *, keep: bool = True) -> Done:
    """Return what a job gave that made another set; with ``keep`` later steps work on that."""
    again = partial(read, target)
    dataset = again()
    result = {**found, "set": inspect_document(dataset)} if keep else found
    return Done(result, path=target if keep else None, scene=plain_drawing(bench, options, dataset, again))


def phrased(items: list[dict[str, Any]], word: Wording, *names: str) -> list[dict[str, Any]]:
    """Return items with these texts of them in the language of a page."""
    return [{**item, **{name: word.phrase(item[name]) for name in names if item.get(name)}} for item in items]


def grouped(items: list[dict[str, Any]], *keys: str) -> list[dict[str, Any]]:
    """Return items that agree in these keys together: the first of them, and how many there are."""
    groups: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    for item in items:
        groups.setdefault(tuple(item[key] for key in keys), []).append(item)
    return [
        {**dict(zip(keys, values, strict=True)), "count": len(group), "items": group[:SHOWN]}
        for values, group in groups.items()
    ]


def unchecked(dataset: Dataset) -> CheckReport:
    """Return what a map shows of the findings of a set that was not checked: none."""
    return CheckReport(dataset.source, None, (), {})


def wording(options: Mapping[str, Any]) -> Wording:
    """Return the language and units of the page."""
    language = options.get("language")
    known = language if language in LANGUAGES else LANGUAGES[0]
    return Wording(known, "us" if options.get("units") == "us" else "metric")


def text(options: dict[str, Any], name: str) -> str | None:
    """Return a text that the page gave, None for a blank one."""
    value = options.get(name)
    return value.strip() or None if isinstance(value, str) else None


def number(options: dict[str, Any], name: str) -> float | None:
    """Return a number that the page gave, None where it gave none.

    Raises
    ------
    UsageError
        It is something else.
    """
    value = options.get(name)
    if value is None or value == "":
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UsageError("is not a number", where=name, remedy="Give a number")
    return float(value)


def names(options: dict[str, Any], name: str) -> tuple[str, ...]:
    """Return texts that the page gave, such as identifiers."""
    value = options.get(name)
    return tuple(item for item in value if isinstance(item, str)) if isinstance(value, list) else ()


def source_path(bench: Bench, options: dict[str, Any], name: str = "source") -> Path:
    """Return the file of a source by its number.

    Raises
    ------
    UsageError
        There is no such source.
    """
    wanted = options.get(name)
    for source in bench.sources:
        if source.number == wanted:
            return source.path
    raise UsageError("there is no such source", remedy="Drop it again")

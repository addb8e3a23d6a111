"""What several kinds of work share: reading the set, its map, and options as they come from the page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.api.dataset import Dataset
from taskdata.api.reading import read
from taskdata.errors import UsageError
from taskdata.page.content import Content, scene
from taskdata.page.encoding import scene_document
from taskdata.page.html_page import map_texts
from taskdata.page.thinning import thinned
from taskdata.page.wording import Wording
from taskdata.results.audit import CheckReport
from taskdata.translations import LANGUAGES
from taskdata.workbench.bench import Bench

READING = {"crs": str, "accept_guess": bool, "derive_fields": bool, "rescue": bool, "take": list}
"""What a page may say of how layers are read, and the type of each."""


def dataset(bench: Bench, options: dict[str, Any], path: Path | None = None) -> Dataset:
    """Return the set that the next step works on, or another one."""
    return read(bench.current if path is None else path, **reading(options))


def reading(options: dict[str, Any]) -> dict[str, Any]:
    """Return the arguments of reading that a page gave."""
    given = options.get("reading") or {}
    return {name: value for name, kind in READING.items() if isinstance(value := given.get(name), kind) and value}


def map_of(bench: Bench, content: Content, options: dict[str, Any]) -> Path:
    """Return a file with the map of a set, for the page."""
    word = wording(options)
    document = scene_document(thinned(scene(content, word)), word, map_texts(word))
    place = bench.fresh("scene.json")
    place.write_text(strict_json.dumps(document, compact=True), encoding="utf-8", errors="backslashreplace")
    return place


def unchecked(dataset: Dataset) -> CheckReport:
    """Return what a map shows of the findings of a set that was not checked: none."""
    return CheckReport(dataset.source, None, (), {})


def wording(options: dict[str, Any]) -> Wording:
    """Return the language and units of the page."""
    language = "de" if options.get("language") == "de" else LANGUAGES[0]
    return Wording(language, "us" if options.get("units") == "us" else "metric")


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

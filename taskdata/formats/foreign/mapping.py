"""The mapping file: TOML that says of items what they are and what their columns hold.

Each entry names items by a pattern of their paths, and says any of the rest::

    [[item]]
    file = "old/*.shp"
    role = "guidance"
    crs = "EPSG:25832"
    encoding = "cp1252"
    columns = { name = "LINE_NAME", width = "W_CM" }
    units = { width = "cm" }

Where several entries fit an item, a later one adds to the earlier ones and replaces what they say.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import field
from typing import TYPE_CHECKING, Any

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.file_formats.regular import settings
from taskdata.file_formats.table import joined
from taskdata.file_formats.text_encoding import known_encoding
from taskdata.formats.foreign.patterns import fits
from taskdata.paths import named_path
from taskdata.resources import first_fault
from taskdata.results.survey import ColumnRole, ItemKind

if TYPE_CHECKING:
    import jsonschema

SCHEMA = "mapping.schema.json"
ROLES = tuple(kind for kind in ItemKind if kind is not ItemKind.TASKDATA)
"""What a layer can be said to be."""
SYNONYMS = {"spacing": ColumnRole.WIDTH}
"""Further words for what a column holds: the distance of guidance lines is the width that they were made for."""
_REMEDY = "[[make_mapping()]] writes a file to start from"


@dataclass(frozen=True, slots=True)
class Entry:
    """What a mapping file says of the items whose path fits a pattern.

    Parameters
    ----------
    file : str
        The pattern.
    origin : str
        Which entry of which file it is, for messages.
    role : ItemKind or None
        What they are.
    columns : mapping of ColumnRole to tuple of str
        Which columns hold what.
    units : mapping of ColumnRole to str
        In which units numbers are.
    crs, encoding : str or None
        Coordinate reference system, and encoding of texts.
    """

    file: str
    origin: str
    role: ItemKind | None = None
    columns: Mapping[ColumnRole, tuple[str, ...]] = field(default_factory=dict)
    units: Mapping[ColumnRole, str] = field(default_factory=dict)
    crs: str | None = None
    encoding: str | None = None

    def fits(self, path: str) -> bool:
        """Tell whether it speaks of the item of a path."""
        return fits(self.file, path)


def read_mapping(path: str | os.PathLike[str]) -> tuple[Entry, ...]:
    """Read a mapping file.

    Raises
    ------
    UsageError
        It is missing, is no TOML, or says something that a mapping cannot say; the message names the entry.
    """
    place = named_path(path, "mapping file")
    try:
        document = settings(place)
    except (OSError, ValueError, RecursionError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise UsageError("is not a mapping file", where=place, why=why, remedy=_REMEDY) from error
    fault = first_fault(SCHEMA, document)
    if fault is not None:
        raise UsageError("is not a mapping file", where=place, why=_plain(fault, document), remedy=_REMEDY)
    return tuple(_entry(item, number, place.name) for number, item in enumerate(document["item"], 1))


def mapping_schema() -> dict[str, Any]:
    """Return the JSON schema of a mapping file."""
    text = {"type": "string", "minLength": 1, "pattern": r"\S"}
    column = {"oneOf": [text, {"type": "array", "items": text, "minItems": 1, "uniqueItems": True}]}
    words = [*ColumnRole, *SYNONYMS]
    about = {
        "file": "Pattern of the paths of items, such as *.csv or old.zip/lines/*; case does not matter",
        "role": "What the items are; other = leave them aside",
        "columns": "Which column holds what; a list where a value is spread over several",
        "units": 'In which unit a column holds its numbers, such as width = "cm"',
        "crs": "Coordinate reference system, such as EPSG:25832; it replaces what the file states",
        "encoding": "Encoding of texts, such as cp1252",
    }
    kinds: dict[str, dict[str, Any]] = {
        "file": text,
        "role": {"enum": list(ROLES)},
        "columns": {"type": "object", "properties": dict.fromkeys(words, column), "additionalProperties": False},
        "units": {"type": "object", "properties": dict.fromkeys(words, text), "additionalProperties": False},
        "crs": text,
        "encoding": text,
    }
    item = {
        "type": "object",
        "properties": {name: {**kind, "description": about[name]} for name, kind in kinds.items()},
        "required": ["file"],
        "additionalProperties": False,
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "What layers of other programs hold",
        "type": "object",
        "properties": {"item": {"type": "array", "items": item}},
        "required": ["item"],
        "additionalProperties": False,
    }


def _entry(item: Mapping[str, Any], number: int, name: str) -> Entry:
    origin = f"entry {number} of {name} ({item['file']})"
    encoding, crs = item.get("encoding"), item.get("crs")
    if encoding is not None and known_encoding(encoding) is None:
        remedy = "Name one such as utf-8, cp1252 or iso8859-15"
        raise UsageError(f"there is no encoding {encoding!r}", where=origin, remedy=remedy)
    if crs is not None:
        from taskdata.geometry.transform import is_projected  # noqa: PLC0415  # PROJ is slow to load

        try:
            is_projected(crs)
        except UsageError as error:
            why, remedy = error.why, "Name it, for example EPSG:25832"
            raise UsageError(f"crs {crs!r} is not known", where=origin, why=why, remedy=remedy) from error
    return Entry(
        file=item["file"],
        origin=origin,
        role=ItemKind(item["role"]) if "role" in item else None,
        columns={column_role(word): _columns(given) for word, given in item.get("columns", {}).items()},
        units={column_role(word): unit.strip() for word, unit in item.get("units", {}).items()},
        crs=crs,
        encoding=encoding,
    )


def column_role(word: str) -> ColumnRole:
    """Return what a word says that a column holds.

    Raises
    ------
    ValueError
        It says nothing.
    """
    low = word.strip().lower()
    return SYNONYMS[low] if low in SYNONYMS else ColumnRole(low)


def _columns(given: str | list[str]) -> tuple[str, ...]:
    return (given,) if isinstance(given, str) else tuple(given)


def _plain(fault: jsonschema.ValidationError, document: Mapping[str, Any]) -> str:
    """Return in plain words what a file says that it cannot say, and in which entry."""
    steps = list(fault.absolute_path)
    if steps[:1] != ["item"] or len(steps) < 2:
        return "it is not a list of tables called item and nothing else"
    item = document["item"][steps[1]]
    named = f" ({item['file']})" if isinstance(item, dict) and isinstance(item.get("file"), str) else ""
    where = f"entry {int(steps[1]) + 1}{named}"
    spot = ".".join(str(step) for step in steps[2:4])
    shown = json.dumps(fault.instance, ensure_ascii=False, default=str)[:60]
    if fault.validator == "additionalProperties":
        known = fault.schema["properties"]
        odd = next(name for name in fault.instance if name not in known)
        return f"{where} has {f'{spot}.' if spot else ''}{odd}, which is none of {joined(list(known), 'and')}"
    if fault.validator == "required":
        return f"{where} has no file, the pattern of what it speaks of"
    if fault.validator == "enum":
        return (
            f"{spot} of {where} is {shown} and should be one of {joined([str(word) for word in fault.validator_value])}"
        )
    kinds = {"object": "a table", "array": "a list", "string": "a text"}
    wanted = kinds.get(str(fault.validator_value), "a text, or a list of texts" if "columns" in spot else "a text")
    return f"{f'{spot} of ' if spot else ''}{where} is {shown} and should be {wanted}"

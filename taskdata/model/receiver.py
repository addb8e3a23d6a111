"""What one receiving terminal takes: a profile that a person writes, or that a set of the terminal suggests.

A profile is a TOML file in sections; ``schemas/receiver.schema.json`` is its schema, made from ``ENTRIES``. What it
does not say is not known, and is not checked. What was only concluded from a set is a hint until a person confirms it:
an entry is confirmed as soon as its name is no longer in the list of the section ``inferred``.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import field
from typing import TYPE_CHECKING, Any

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.file_formats.regular import settings
from taskdata.paths import named_path
from taskdata.records import short_repr
from taskdata.resources import first_fault
from taskdata.strict_json import as_toml
from taskdata.versions import versions

if TYPE_CHECKING:
    import jsonschema

SCHEMA = "receiver.schema.json"
CHARACTER_SETS = ("ascii", "latin-1", "any")


@short_repr
@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that a profile may say: its section and name, its JSON schema, and what it means."""

    section: str
    name: str
    schema: Mapping[str, Any]
    meaning: str

    @property
    def path(self) -> str:
        """Section and name, such as ``limits.points_in_ring``."""
        return f"{self.section}.{self.name}"


def _count(section: str, name: str, meaning: str) -> Entry:
    return Entry(section, name, {"type": "integer", "minimum": 0}, meaning)


def _yes_no(name: str, meaning: str) -> Entry:
    return Entry("takes", name, {"type": "boolean"}, meaning)


_STATED = (
    Entry("receiver", "name", {"type": "string", "minLength": 1}, "What you call the terminal"),
    Entry(
        "receiver",
        "versions",
        {"type": "array", "items": {"type": "integer", "minimum": 0, "maximum": versions()[-1].number}, "minItems": 1},
        "Values of VersionMajor that it reads",
    ),
    _count("limits", "main_file_bytes", "Largest main file"),
    _count("limits", "fields", "Most fields in a set"),
    _count("limits", "points_in_ring", "Most points in one ring, the repeated first one included"),
    _count("limits", "rings_in_field", "Most rings of one field's boundary, holes included"),
    _count("limits", "guidance_lines", "Most guidance lines in a set"),
    _count("limits", "points_in_line", "Most points in one guidance line"),
    _count("limits", "tasks", "Most tasks in a set"),
    _count("limits", "grid_columns", "Most columns of a grid"),
    _count("limits", "grid_rows", "Most rows of a grid"),
    _count("names", "longest", "Most characters of a name"),
    Entry("names", "characters", {"enum": list(CHARACTER_SETS)}, "Characters that it shows: ascii, latin-1 or any"),
    _yes_no("guidance_groups", "Guidance groups and patterns (GGP, GPN)"),
    _yes_no("guidance_strings", "Guidance lines as line strings of type 5 in a field"),
    _yes_no("grid_type_1", "Grids of zone codes"),
    _yes_no("grid_type_2", "Grids of setpoints"),
    _yes_no("polygon_zones", "Treatment zones with polygons"),
    _yes_no("external_files", "External files (XFR, XFC)"),
    _yes_no("binary_points", "Binary point files"),
    _yes_no("link_list", "A link list and other attached files"),
)
INFERRED = Entry(
    "inferred",
    "entries",
    {"type": "array", "items": {"enum": [entry.path for entry in _STATED]}, "uniqueItems": True},
    "Which of the above are only hints, concluded from a set; take a line out to confirm what it names",
)
ENTRIES = (*_STATED, INFERRED)


@short_repr
@dataclass(frozen=True)
class Receiver:
    """A profile.

    Parameters
    ----------
    values : dict of str to value
        By section and name, such as ``limits.fields``; see ``ENTRIES``. Absent = not known.
    """

    values: Mapping[str, Any] = field(default_factory=dict)

    def get(self, path: str) -> Any:
        """Return what the profile says of ``path``, None where it says nothing.

        Raises
        ------
        KeyError
            No profile can say anything of it.
        """
        if path not in _PATHS:
            raise KeyError(path)
        return self.values.get(path)

    @property
    def name(self) -> str:
        """What the user calls the terminal."""
        return str(self.get("receiver.name") or "the terminal")

    def is_hint(self, path: str) -> bool:
        """Tell whether ``path`` was only concluded from a set that the terminal wrote, and nobody has confirmed it."""
        return path in (self.get(INFERRED.path) or ())

    @property
    def confirmed(self) -> Receiver:
        """The profile without its hints: what a set may be changed for."""
        return Receiver({path: value for path, value in self.values.items() if self._is_stated(path)})

    @property
    def hints(self) -> Receiver:
        """The profile with its hints alone, and what it calls the terminal."""
        names = {path: value for path, value in self.values.items() if path == "receiver.name" and self.has_hints}
        return Receiver({**names, **{path: value for path, value in self.values.items() if not self._is_stated(path)}})

    @property
    def has_hints(self) -> bool:
        """Whether anything in the profile is only a hint."""
        return any(self.is_hint(path) for path in self.values)

    def _is_stated(self, path: str) -> bool:
        return path != INFERRED.path and not self.is_hint(path)


_PATHS = {entry.path: entry for entry in ENTRIES}


def read_receiver(path: str | os.PathLike[str]) -> Receiver:
    """Read a profile.

    Raises
    ------
    UsageError
        The file is missing, is no TOML, or says something that a profile cannot say.
    """
    place = named_path(path, "receiver profile")
    remedy = "[[make_receiver()]] writes a profile to start from"
    try:
        document = settings(place)
    except (OSError, ValueError, RecursionError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise UsageError("is not a receiver profile", where=path, why=why, remedy=remedy) from error
    fault = first_fault(SCHEMA, document)
    if fault is not None:
        raise UsageError("is not a receiver profile", where=path, why=_plain(fault), remedy=remedy)
    return Receiver(
        {f"{section}.{name}": _whole(value) for section, rows in document.items() for name, value in rows.items()}
    )


def _whole(value: Any) -> Any:
    """Return numbers such as 60.0, which the schema takes for whole ones, as whole numbers."""
    if isinstance(value, list):
        return [_whole(item) for item in value]
    return int(value) if isinstance(value, float) else value


def _plain(fault: jsonschema.ValidationError) -> str:
    """Return in plain words what a profile says that it cannot say."""
    steps = [str(step) for step in fault.absolute_path]
    spot = ".".join(steps[:2])
    value, wanted = json.dumps(fault.instance, ensure_ascii=False, default=str), fault.validator_value
    if fault.validator == "additionalProperties":
        known = fault.schema["properties"]
        odd = next(name for name in fault.instance if name not in known)
        return f"it has {f'{spot}.' if spot else ''}{odd}, but {spot or 'a profile'} may only have {', '.join(known)}"
    if fault.validator == "type":
        kinds = {"integer": "a whole number", "boolean": "true or false", "string": "a text", "array": "a list"}
        return f"{spot} is {value} and should be {kinds.get(wanted, 'a section')}"
    if fault.validator == "enum":
        return f"{spot} is {value} and should be one of {', '.join(map(str, wanted))}"
    limits = {
        "minimum": f"at least {wanted}",
        "maximum": f"at most {wanted}",
        "uniqueItems": "a list that names each once",
    }
    return f"{spot} is {value} and should be {limits.get(str(fault.validator), 'more than nothing')}"


def receiver_text(receiver: Receiver) -> str:
    """Return a profile as TOML, with what each entry means and which are only hints."""
    return "\n".join(_lines(receiver)) + "\n"


def receiver_schema() -> dict[str, Any]:
    """Return the JSON schema of a profile."""
    sections: dict[str, Any] = {}
    for entry in ENTRIES:
        section = sections.setdefault(
            entry.section, {"type": "object", "properties": {}, "additionalProperties": False}
        )
        section["properties"][entry.name] = {**entry.schema, "description": entry.meaning}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "What a receiving terminal accepts",
        "type": "object",
        "properties": sections,
        "additionalProperties": False,
    }


def _lines(receiver: Receiver) -> Iterator[str]:
    yield "# What a receiving terminal accepts. What is missing is not known and is not checked."
    if receiver.has_hints:
        yield "# The entries listed under [inferred] were concluded from one set that it wrote, which may hold less"
        yield "# than it accepts. They are hints: a check reports them as notes, and no set is changed for them."
        yield "# Correct each from the manual of the terminal, and take its line out of the list: then it is a limit."
    section = ""
    for entry in ENTRIES:
        value = receiver.get(entry.path)
        if value is None:
            continue
        if entry.section != section:
            section = entry.section
            yield ""
            yield f"[{section}]"
        if entry is INFERRED:
            yield f"{entry.name} = [  # {entry.meaning}"
            yield from (f"    {as_toml(item)}," for item in value)
            yield "]"
            continue
        note = "; a hint, see [inferred]" if receiver.is_hint(entry.path) else ""
        yield f"{entry.name} = {as_toml(value)}  # {entry.meaning}{note}"

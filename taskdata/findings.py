"""What is wrong in the data: rules, places and findings, frozen, each finding with its sentence and its remedy.

Reports and documents are made of them in ``taskdata.reports`` alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import field
from enum import StrEnum
from types import MappingProxyType

from taskdata.arguments import Naming, in_python
from taskdata.dataclass import dataclass
from taskdata.phrases import phrase
from taskdata.records import cut, short_repr
from taskdata.strict_json import finite

Fact = str | int | float | None
_SHOWN = 110
"""How many characters of its message the ``repr`` of a finding shows."""


class Severity(StrEnum):
    """How much a finding weighs; the standard's own word decides: must, should, worth knowing."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the gravest, so that sorting puts errors first."""
        return list(type(self)).index(self)


@short_repr
@dataclass(frozen=True, slots=True)
class Place:
    """Where in a source something stands.

    Parameters
    ----------
    file : str, optional
        Name inside the set, as stored.
    line : int, optional
        Line in that file, counted from 1.
    element : str, optional
        Identifier of the nearest identified element at or above the fault.
    path : str, optional
        XPath of the element.
    location : (float, float), optional
        Longitude and latitude in degrees, WGS 84; numbers that are not finite make it None.
    record : int, optional
        Record number in a binary file, counted from 0.
    offset : int, optional
        Byte offset in a binary file.
    """

    file: str | None = None
    line: int | None = None
    element: str | None = None
    path: str | None = None
    location: tuple[float, float] | None = None
    record: int | None = None
    offset: int | None = None

    def __post_init__(self) -> None:
        """Leave out a location that is none, whoever states it."""
        if self.location is not None and not all(map(math.isfinite, self.location)):
            object.__setattr__(self, "location", None)


@short_repr
@dataclass(frozen=True, slots=True)
class Tolerance:
    """A number that decides how much a rule puts up with; a profile may set it otherwise.

    Parameters
    ----------
    name : str
        Id of its rule, a point and its own name, such as ``geometry.spike.angle``.
    default : int or float
        An int is a count, and only whole numbers can take its place.
    unit : str
        Unit, blank for a plain number.
    meaning : str
        What it is, in a few words.
    """

    name: str
    default: int | float
    unit: str
    meaning: str


@short_repr
@dataclass(frozen=True)
class Rule:
    """One rule: what may be wrong, how grave it is, and what to do about it.

    Parameters
    ----------
    id : str
        ``family.wrong-thing``; never reused.
    severity : Severity
        Default severity of its findings.
    message, remedy : str
        Sentences with ``{fact}`` placeholders.
    clause : str, optional
        Clause or annex of ISO 11783-10 (or the name of another source).
    covers : tuple of str
        Numbers of what the standard asks that this rule looks at, such as ``R-037`` (``data/requirements.csv``).
    since, until : int, optional
        First and last version (VersionMajor) that it applies to; None = from the first, to the newest.
    added : str
        Version of this program that it came with.
    about : str
        The public page; a check module leaves it empty, its docstring is the page.
    tolerances : tuple of Tolerance
        What a profile may set.
    """

    id: str
    severity: Severity
    message: str
    remedy: str
    clause: str | None = None
    covers: tuple[str, ...] = ()
    since: int | None = None
    until: int | None = None
    added: str = "0.1"
    about: str = ""
    tolerances: tuple[Tolerance, ...] = ()

    def at(self, place: Place, *, severity: Severity | None = None, **facts: Fact) -> Finding:
        """Return a finding of this rule at a place, with the facts its message names; None for what is no number."""
        return Finding(self, place, severity or self.severity, MappingProxyType(finite(facts)))


@short_repr
@dataclass(frozen=True, slots=True)
class Unread:
    """Something that a source names and that could not be read, whole or in part.

    Parameters
    ----------
    file : str
        Name of the file, as it lies in the set or as the set names it.
    what : str
        What it is, such as ``log of TSK1``.
    why : str
        What is wrong with it, as the rest of a sentence that begins with the file.
    otherwise : str
        What can be done to read more of it, blank for nothing; it may name arguments, see `taskdata.arguments`.
    """

    file: str
    what: str
    why: str
    otherwise: str = ""


@dataclass(frozen=True, slots=True, repr=False)
class Finding:
    """One fault: the rule, the place, the severity here, the facts for its words, and what it leaves unread.

    As a text it is its message with its place, such as ``TASKDATA.XML:12 PFD1: ...``.
    """

    rule: Rule
    place: Place
    severity: Severity
    facts: Mapping[str, Fact] = field(default_factory=lambda: MappingProxyType({}))
    unread: Unread | None = None

    @property
    def message(self) -> str:
        """What is wrong, as a sentence."""
        return self.worded(self.rule.message)

    @property
    def remedy(self) -> str:
        """What to do, as a sentence."""
        return self.worded(self.rule.remedy)

    @property
    def where(self) -> str:
        """Where it stands, such as ``TASKDATA.XML:12 PFD1``; empty where it concerns the whole set."""
        place = self.place
        spot: str = " ".join((place.file or "").split())
        if place.line is not None:
            spot += f":{place.line}"
        if place.record is not None and "row" not in self.facts:  # a row of a table, which the message counts from 1
            spot = _beside(spot, phrase("record {record}", record=place.record))
        elif place.offset is not None:
            spot = _beside(spot, phrase("byte {offset}", offset=place.offset))
        if place.location is not None:
            east, north = place.location
            lat = phrase("{degrees:.7f} N" if north >= 0.0 else "{degrees:.7f} S", degrees=abs(north))
            lon = phrase("{degrees:.7f} E" if east >= 0.0 else "{degrees:.7f} W", degrees=abs(east))
            spot = _beside(spot, phrase("at {lat}, {lon}", lat=lat, lon=lon))
        return _beside(spot, " ".join((place.element or "").split()))

    def worded(self, pattern: str, naming: Naming = in_python, speak: Callable[[Fact], str] | None = None) -> str:
        """Return a sentence of the rule with the facts of this finding in it.

        Parameters
        ----------
        pattern : str
            Message or remedy of the rule.
        naming : Naming
            How it names arguments, see `taskdata.arguments`.
        speak : callable, optional
            How facts stand in it; default: in English.
        """
        facts = {name: (speak or spoken)(value) for name, value in self.facts.items()}
        text = " ".join(naming(pattern).format_map(facts).split())
        return text if text.endswith((".", "!", "?")) else f"{text}."

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message

    def __repr__(self) -> str:
        return f"Finding({self.severity} {self.rule.id}: {cut(repr(str(self)), _SHOWN)})"


def spoken(fact: Fact) -> str:
    """Return a fact as it stands in a sentence: numbers plainly, nothing as ``none``."""
    if fact is None:
        return "none"
    return f"{fact:.10g}" if isinstance(fact, float) else str(fact)


def _beside(spot: str, more: str) -> str:
    return phrase("{spot} {more}", spot=spot, more=more) if spot and more else spot or more


def unread_of(findings: Iterable[Finding]) -> tuple[Unread, ...]:
    """Return what could not be read by what was found, each thing once, in the order of the findings."""
    found: dict[tuple[str, str], Unread] = {}
    for item in findings:
        if item.unread is not None:
            found.setdefault((item.unread.file.upper(), item.unread.what), item.unread)
    return tuple(found.values())


def cause_of(error: Exception) -> str:
    """Return a defect of the program as the cause in a sentence: its kind and what it says."""
    return f"{type(error).__name__}: {error}".rstrip(": ")

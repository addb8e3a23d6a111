"""A file in XML to tables: what is common to its formats."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, Protocol

from taskdata.errors import SourceError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, Tables
from taskdata.formats.markup.events import BrokenMarkupError, Event, events, guessed_encoding
from taskdata.raised_rules.import_.broken_off import RULE as BROKEN_OFF
from taskdata.raised_rules.import_.letters_guessed import RULE as LETTERS_GUESSED


class Reading(Protocol):
    """Makes tables of events."""

    findings: list[Finding]

    def take(self, event: Event) -> None:
        """Take what comes next."""
        ...

    def tables(self) -> list[RawTable]:
        """Return what was read; nothing comes after it."""
        ...


def read_markup(
    path: Path, opener: Callable[[], BinaryIO], size: int, reading: Reading, *, through: frozenset[str], noun: str
) -> Tables:
    """Return the tables of a file; what stands before damage is read, and the damage told.

    Parameters
    ----------
    path : Path
        The file, for messages.
    opener : callable
        Gives the bytes of the XML.
    size : int
        How many there are.
    reading : Reading
        Takes them.
    through : frozenset of str
        See `events`.
    noun : str
        What a sentence calls such a file.

    Raises
    ------
    SourceError
        Nothing stands before the damage.
    """
    encoding, told = guessed_encoding(opener), list[Finding]()
    if encoding is not None:
        told.append(LETTERS_GUESSED.at(Place(file=path.name), layer=path.name, guess=encoding))
    broken = None
    try:
        for event in events(opener, size, path.name, through, encoding):
            reading.take(event)
    except BrokenMarkupError as error:
        broken = error
        place = Place(file=path.name, line=error.line)
        told.append(BROKEN_OFF.at(place, file=path.name, line=error.line, reason=error.why))
    tables = reading.tables()
    if broken is not None and not tables:
        raise SourceError(
            f"The {noun} cannot be read",
            where=path,
            why=f"{broken.why} in line {broken.line}",
            remedy="Copy it again from the original.",
        )
    found = Tables(findings=[*told, *reading.findings])
    for table in tables:
        found.add(table)
    return found

"""Decide whether a file is valid: the parser validates while it reads, so memory does not grow with the file.

A validating stream does not see repeated identifiers; their hashes are gathered on the way.
"""

from __future__ import annotations

from array import array
from collections.abc import Mapping
from dataclasses import field
from functools import cache

import numpy as np
from lxml import etree

from taskdata.dataclass import dataclass
from taskdata.isoxml.schema import layout
from taskdata.isoxml.schema.xml_bytes import BLANKS, XmlBytes

PRUNE_EVERY = 1024
"""So many elements pass before what lies behind the reader is dropped."""


@dataclass(slots=True)
class Hashes:
    """Hashes of the values of type xs:ID in a file, eight bytes each."""

    values: array[int] = field(default_factory=lambda: array("q"))

    def add(self, value: str) -> None:
        """Take one value, white space at its ends aside."""
        self.values.append(hash(value.strip(BLANKS)))

    def repeated(self) -> frozenset[int]:
        """Return the hashes that occur more than once."""
        hashes = np.sort(np.frombuffer(self.values, dtype=np.int64)) if self.values else np.empty(0, np.int64)
        return frozenset(hashes[1:][hashes[1:] == hashes[:-1]].tolist())


@dataclass(slots=True)
class Verdict:
    """What the validating parser said.

    Parameters
    ----------
    fault : (int, str) or None
        Line and words of the first fault; None = valid, repeated identifiers aside.
    hashes : Hashes
        Of all identifiers, where there was no fault.
    """

    fault: tuple[int, str] | None = None
    hashes: Hashes = field(default_factory=Hashes)


@cache
def identifiers(kind: layout.Kind, major: int) -> Mapping[str, str]:
    """Return the letter of the xs:ID attribute of each tag that has one; a reference of that type is none."""
    return {
        tag: fact.letter
        for tag in layout.tags(kind, major)
        for fact in layout.attributes(tag, major)
        if fact.type == "xs:ID" and not fact.refers_to
    }


def decide(source: XmlBytes, schema: etree.XMLSchema, letters: Mapping[str, str]) -> Verdict:
    """Read a file through a validating parser up to (about) its first fault."""
    verdict = Verdict()
    events = source.events("end", schema=schema)
    try:
        if not _read(events, verdict, letters):
            verdict.fault = (0, "it ends before its root does")
    except etree.XMLSyntaxError as error:
        verdict.fault = syntax_fault(error)
    faults = events.error_log.filter_from_errors()
    if len(faults):
        verdict.fault = (faults[0].line, faults[0].message)
    return verdict


def syntax_fault(error: etree.XMLSyntaxError) -> tuple[int, str]:
    """Return line and words of what the parser stopped at."""
    return error.lineno or 0, error.msg or "not well formed"


def _read(events: etree.iterparse, verdict: Verdict, letters: Mapping[str, str]) -> bool:
    """Return whether the root was read to its end, which this kind of parser does not always object to."""
    add = verdict.hashes.add
    element: etree._Element | None = None
    for number, (_, element) in enumerate(events):
        letter = letters.get(element.tag)
        if letter is not None:
            value = element.get(letter)
            if value is not None:
                add(value)
        if len(element):
            element.clear()
        if not number % PRUNE_EVERY:
            prune(element)
            if len(events.error_log.filter_from_errors()):
                return False
    return element is not None and element.getparent() is None


def prune(element: etree._Element) -> None:
    """Drop what lies before an element whose end was just seen, at every level, so that memory stays small."""
    parent = element.getparent()
    while parent is not None:
        place = parent.index(element)
        if place:
            del parent[:place]
        element, parent = parent, parent.getparent()

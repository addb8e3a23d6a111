"""Find the places of identifiers that occur more than once in a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Final

from lxml import etree

from taskdata.findings import Finding, Severity
from taskdata.isoxml.facts import elements
from taskdata.isoxml.schema import words
from taskdata.isoxml.schema.verdict import PRUNE_EVERY, prune
from taskdata.isoxml.schema.walk import Open, Walk
from taskdata.isoxml.schema.xml_bytes import BLANKS, XmlBytes
from taskdata.raised_rules.identity.repeated_id import RULE as REPEATED_ID

MOST_REPEATS: Final = 10_000
"""So many repeated identifiers of one file are listed."""


def repeated(source: XmlBytes, letters: Mapping[str, str], suspects: frozenset[int], file: str) -> list[Finding]:
    """Return a finding for each identifier that stands already further up in the file.

    Parameters
    ----------
    source : XmlBytes
        The bytes of the file.
    letters : mapping of str to str
        Letter of the identifier by tag, as ``verdict.identifiers`` gives it.
    suspects : frozenset of int
        Hashes of what occurs more than once; equal hashes of different values do no harm.
    file : str
        Name for places.
    """
    found: list[Finding] = []
    try:
        found.extend(islice(_find(Walk(source), letters, suspects, file), MOST_REPEATS))
    except etree.XMLSyntaxError:
        return found  # where the file breaks off is reported by the explanation
    return found


def _find(walk: Walk, letters: Mapping[str, str], suspects: frozenset[int], file: str) -> Iterator[Finding]:
    seen: dict[str, Open] = {}
    for number, (starts, element, record) in enumerate(walk.steps()):
        if not starts:
            _forget(element, number)
            continue
        letter = letters.get(record.tag)
        value = element.get(letter, "").strip(BLANKS) if letter else ""
        if not value or hash(value) not in suspects:
            continue
        first = seen.setdefault(value, record)
        if first is not record:
            yield _finding(value, first, record, letters, file)


def _finding(value: str, first: Open, again: Open, letters: Mapping[str, str], file: str) -> Finding:
    identifies = {elements()[record.tag].id_letter is not None for record in (first, again)}
    return REPEATED_ID.at(
        again.place(file),
        severity=Severity.WARNING if len(identifies) > 1 else None,
        value=words.shortened(value),
        attribute=words.attribute_label(again.tag, letters[again.tag]),
        first_attribute=words.attribute_label(first.tag, letters[first.tag]),
        first_line=first.line,
    )


def _forget(element: etree._Element, number: int) -> None:
    if len(element):
        element.clear()
    if not number % PRUNE_EVERY:
        prune(element)

"""Small typed readers of attributes that never raise past the object they belong to.

A number that cannot be read becomes a finding and None. Where an object cannot do without it, the object is left out
with a finding, and the rest is read (``Reading.each``).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from enum import IntEnum
from functools import cached_property
from typing import TypeVar

from taskdata.findings import Fact, Finding, Place, Rule
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_model.places import Places
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.notation import PLAIN, meant
from taskdata.model.machines import Part, Presentation
from taskdata.quantities.dictionary import ddi_number
from taskdata.quantities.presentation import Presentation as Usable
from taskdata.raised_rules.model.missing_identifier import RULE as MISSING_ID
from taskdata.raised_rules.model.unknown_code import RULE as UNKNOWN_CODE
from taskdata.raised_rules.model.unreadable_number import RULE as UNREADABLE_NUMBER
from taskdata.raised_rules.model.unreadable_object import RULE as UNREADABLE_OBJECT

Record = TypeVar("Record")
Code = TypeVar("Code", bound=IntEnum)
_INTEGER = re.compile(r"[+-]?[0-9]{1,19}")
_LONGEST = 60
_SHOWN = ("Offset", "Scale", "NumberOfDecimals", "UnitDesignator")


class Unreadable(Exception):  # noqa: N818  never leaves this package: it is how one object is given up, not an error
    """An object cannot be read; the text says why."""


class Reading:
    """One run over one document: the document, where its elements stand, and what was found wrong."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.places = Places()
        self.keys = document.keys
        self.findings: list[Finding] = []
        self.parts: dict[str, Part] = {}

    @cached_property
    def presentations(self) -> dict[str, Presentation]:
        """How the set wants values shown (VPN), by identifier; those that cannot be used are left out."""
        found: dict[str, Presentation] = {}
        for item in self.document.by_tag.get("VPN", []):
            shown = Usable.read(*(item.get(name) or "" for name in _SHOWN))
            if item.id is not None and shown is not None:
                found[item.id] = Presentation(shown.offset, str(shown.scale), shown.decimals, shown.unit or None)
        return found

    def place(self, element: Element) -> Place:
        """Where the element stands."""
        return self.places.of(element)

    def key(self, element: Element) -> int | None:
        """Return the number of the element in document order."""
        return self.keys.get(element)

    def note(self, rule: Rule, element: Element, **facts: Fact) -> None:
        """Add a finding at an element; its tag and the nearest identifier are among the facts."""
        place = self.place(element)
        owner = place.element or element.tag
        self.findings.append(rule.at(place, severity=None, element=owner, tag=element.tag, **facts))

    def each(self, elements: Iterable[Element], build: Callable[[Reading, Element], Record]) -> tuple[Record, ...]:
        """Build a record of each element; one that cannot be read becomes a finding."""
        built: list[Record] = []
        for element in elements:
            try:
                built.append(build(self, element))
            except Unreadable as reason:
                self.note(UNREADABLE_OBJECT, element, reason=str(reason))
        return tuple(built)

    def identifier(self, element: Element) -> str:
        """Return the identifier, empty (with a finding) where the element has none."""
        if element.id is None:
            self.note(MISSING_ID, element)
        return element.id or ""

    def integer(self, element: Element, name: str) -> int | None:
        """Return an integer attribute, None where it is absent or (with a finding) no integer."""
        text = element.get(name)
        if text is None:
            return None
        plain = _plain(element, name, text, _INTEGER)
        if plain is None:
            self._no_number(element, name, text)
            return None
        return int(plain)

    def decimal(self, element: Element, name: str) -> float | None:
        """Return a decimal attribute, None where it is absent or (with a finding) no number."""
        text = element.get(name)
        if text is None:
            return None
        found = number(element, letter(element.tag, name))
        if math.isnan(found):
            self._no_number(element, name, text)
            return None
        return found

    def stamp(self, element: Element, name: str) -> str | None:
        """Return a time stamp as the standard writes it, any other text as it stands, None where it is absent."""
        text = element.get(name)
        other = None if text is None else meant(element.tag, letter(element.tag, name), text)
        return text if other is None else other.text

    def metres(self, element: Element, name: str) -> float | None:
        """Return an attribute in millimetres as metres."""
        value = self.integer(element, name)
        return None if value is None else value / 1000

    def ddi(self, element: Element, name: str) -> int | None:
        """Return a number of the data dictionary, None where it is absent or (with a finding) no hexadecimal number."""
        text = element.get(name)
        if text is None:
            return None
        found = ddi_number(text.strip())
        if found is None:
            self._no_number(element, name, text)
        return found

    def code(self, element: Element, name: str, kind: type[Code], otherwise: Code) -> Code:
        """Return a code of an enumeration; one that is absent or not listed becomes ``otherwise`` and a finding."""
        found = _listed(element.get(name), kind)
        if found is None:
            self._unknown(element, name, otherwise.name.lower().replace("_", " "))
            return otherwise
        return found

    def code_or_none(self, element: Element, name: str, kind: type[Code]) -> Code | None:
        """Return a code of an enumeration, None (with a finding) where it is absent or not listed."""
        found = _listed(element.get(name), kind)
        if found is None:
            self._unknown(element, name, "not known")
        return found

    def _no_number(self, element: Element, name: str, text: str) -> None:
        self.note(UNREADABLE_NUMBER, element, name=name, text=shortened(text))

    def _unknown(self, element: Element, name: str, taken: str) -> None:
        text = shortened(element.get(name) or "absent")
        self.note(UNKNOWN_CODE, element, name=name, text=text, taken=taken)


def needed_integer(element: Element, name: str) -> int:
    """Return an integer that the object cannot do without.

    Raises
    ------
    Unreadable
        It is absent or no integer.
    """
    return int(_needed(element, name, _INTEGER))


def needed_decimal(element: Element, name: str) -> float:
    """Return a number that the object cannot do without.

    Raises
    ------
    Unreadable
        It is absent, no number, or too large for one of 64 bits.
    """
    found = float(_needed(element, name, PLAIN))
    if math.isinf(found):
        raise Unreadable(f"its {name} is too large: {shortened(element[name])}")
    return found


def needed_ddi(element: Element, name: str) -> int:
    """Return a number of the data dictionary that the object cannot do without.

    Raises
    ------
    Unreadable
        It is absent or not one to four hexadecimal digits.
    """
    text = needed_text(element, name)
    found = ddi_number(text.strip())
    if found is None:
        raise Unreadable(f"its {name} is not four hexadecimal digits: {shortened(text)}")
    return found


def needed_code(element: Element, name: str, kind: type[Code]) -> Code:
    """Return a code of an enumeration that the object cannot do without.

    Raises
    ------
    Unreadable
        It is absent or not listed.
    """
    found = _listed(needed_text(element, name), kind)
    if found is None:
        raise Unreadable(f"its {name} is not one that the standard lists: {shortened(element[name])}")
    return found


def needed_text(element: Element, name: str) -> str:
    """Return a text that the object cannot do without.

    Raises
    ------
    Unreadable
        It is absent or empty.
    """
    text = element.get(name)
    if text is None:
        raise Unreadable(f"it has no {name}")
    return text


def number(element: Element, key: str) -> float:
    """Return the attribute of a letter as a number, NaN where it is none, or too large for one of 64 bits."""
    plain = _plain_text(element, key, element.attributes.get(key, ""), PLAIN)
    found = math.nan if plain is None else float(plain)
    return found if math.isfinite(found) else math.nan


def shortened(text: str) -> str:
    """Return a text of the source, cut where it is too long for a message."""
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


def _needed(element: Element, name: str, shape: re.Pattern[str]) -> str:
    text = needed_text(element, name)
    plain = _plain(element, name, text, shape)
    if plain is None:
        raise Unreadable(f"its {name} is not a number: {shortened(text)}")
    return plain


def _plain(element: Element, name: str, text: str, shape: re.Pattern[str]) -> str | None:
    return _plain_text(element, letter(element.tag, name), text, shape)


def _plain_text(element: Element, key: str, text: str, shape: re.Pattern[str]) -> str | None:
    """Return the text of a number as the standard writes it, None where it is none or can be read in two ways."""
    clean = text.strip()
    if shape.fullmatch(clean):
        return clean
    other = meant(element.tag, key, clean)
    return other.text if other is not None and shape.fullmatch(other.text) else None


def _listed(text: str | None, kind: type[Code]) -> Code | None:
    clean = (text or "").strip()
    if not _INTEGER.fullmatch(clean):
        return None
    try:
        return kind(int(clean))
    except ValueError:
        return None

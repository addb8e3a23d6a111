"""Values in a notation that the standard does not have, where they can mean one thing only.

A number with a decimal comma or an exponent, a DDI without its leading zeros, a file name with its extension, a time
stamp with a blank. What could mean two things is never decided here: ``1,234`` may be one and a bit or one thousand, so
it is read as a decimal comma only where the thousand lies outside the limits of its attribute, such as a latitude.
"""

from __future__ import annotations

import re
from decimal import Decimal

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import AttributeFact, elements
from taskdata.phrases import phrase

PLAIN = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)", re.ASCII)
"""A number as the standard writes it."""

COMMA, EXPONENT = phrase("a decimal comma"), phrase("an exponent")
DIGITS, EXTENSION = phrase("missing leading zeros"), phrase("the extension of its file")
BLANK, FRACTION, DECIMALS = (
    phrase("a blank between date and time"),
    phrase("a long fraction of a second"),
    phrase("too many decimals"),
)

_NUMBER = re.compile(
    r"(?P<whole>[+-]?[0-9]*)(?P<point>[.,]?)(?P<rest>[0-9]*)(?:[eE](?P<power>[+-]?[0-9]{1,2}))?", re.ASCII
)
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", re.ASCII)
_STAMP = re.compile(
    r"(?P<day>\d{4}-\d\d-\d\d)(?P<gap>[T ] *)(?P<clock>\d\d:\d\d:\d\d)(?:\.(?P<part>\d+))? *(?P<zone>Z|[+-]\d\d:\d\d)?",
    re.ASCII,
)
_INTEGERS = frozenset({"xs:long", "xs:unsignedByte", "xs:unsignedLong", "xs:unsignedShort"})
_MILLISECONDS = 3
_ROUNDING = Decimal("1e-6")
"""A scale changes by less than this share where it is rounded: as much as a number of 32 bits holds."""


@dataclass(frozen=True, slots=True)
class Meant:
    """What a value means: the text that the standard has for it, and in what notation it was written."""

    text: str
    notation: str


def meant(tag: str, letter: str, text: str) -> Meant | None:
    """Return what an attribute means that the standard would write otherwise.

    Parameters
    ----------
    tag, letter : str
        The attribute.
    text : str
        As written.

    Returns
    -------
    Meant or None
        None where the text is as the standard has it, can be read in two ways, or in none.
    """
    element = elements().get(tag)
    fact = None if element is None else element.attributes.get(letter)
    clean = text.strip()
    if fact is None or not clean:
        return None
    if fact.type == "xs:decimal" or fact.type in _INTEGERS:
        return _meant_number(fact, clean)
    if fact.type == "xs:hexBinary" and (fact.min_length, fact.max_length) == (2, 2):
        short = re.fullmatch("[0-9A-Fa-f]{1,3}", clean)
        return Meant(clean.upper().rjust(4, "0"), DIGITS) if short else None
    if fact.type == "xs:dateTime":
        return _meant_stamp(clean, fact.max_length or 0)
    return _meant_name(clean) if fact.name == "Filename" else None


def decimal_text(text: str, most: float | None) -> str | None:
    """Return a number that has a decimal comma or an exponent as the standard writes it.

    Parameters
    ----------
    text : str
        As written, without blanks around it.
    most : float or None
        The largest value that its attribute can have; None = no limit, then ``1,234`` can be read in two ways.

    Returns
    -------
    str or None
        The same number; None where it has more than one meaning or none.
    """
    parts = _NUMBER.fullmatch(text)
    if parts is None or not (parts["whole"].strip("+-") or parts["rest"]) or (parts["point"] and not parts["rest"]):
        return None
    if parts["point"] == "," and _THOUSANDS.fullmatch(text) and not _is_beyond(text.replace(",", ""), most):
        return None
    value = Decimal(f"{parts['whole']}.{parts['rest']}E{parts['power'] or 0}" if parts["rest"] else text)
    return f"{value:f}"


def integer_text(text: str) -> str | None:
    """Return a whole number that has decimals of nothing or an exponent as the standard writes it, else None."""
    plain = decimal_text(text, None)
    if plain is None or Decimal(plain) != Decimal(plain).to_integral_value():
        return None
    return f"{Decimal(plain).to_integral_value():f}"


def base_name(text: str) -> str:
    """Return the name of a file without the extension that files of a set have."""
    return text[:-4] if text.upper().endswith((".XML", ".BIN")) else text


def _meant_number(fact: AttributeFact, text: str) -> Meant | None:
    if fact.fraction_digits is not None and PLAIN.fullmatch(text):
        return _rounded(fact, text)
    if PLAIN.fullmatch(text) and (fact.type == "xs:decimal" or "." not in text):
        return None
    most = None if fact.maximum is None else float(fact.maximum)
    plain = decimal_text(text, most) if fact.type == "xs:decimal" else integer_text(text)
    if plain is None:
        return None
    notation = EXPONENT if "e" in text.lower() else COMMA if "," in text else DECIMALS
    if fact.fraction_digits is not None:
        rounded = _rounded(fact, plain)
        plain = plain if rounded is None else rounded.text
    return Meant(plain, notation)


def _rounded(fact: AttributeFact, text: str) -> Meant | None:
    """Return a number with no more decimals than its attribute has, where it hardly changes."""
    value = Decimal(text)
    near = round(value, fact.fraction_digits or 0)
    if near == value or abs(near - value) > abs(value) * _ROUNDING:
        return None
    return Meant(f"{near.normalize():f}", DECIMALS)


def _meant_stamp(text: str, longest: int) -> Meant | None:
    parts = _STAMP.fullmatch(text)
    if parts is None:
        return None
    fraction = (parts["part"] or "")[:_MILLISECONDS].rstrip("0")
    plain = f"{parts['day']}T{parts['clock']}{f'.{fraction}' if fraction else ''}{parts['zone'] or ''}"
    notation = FRACTION if " " not in text else BLANK
    return None if notation == FRACTION and len(text) <= longest else Meant(plain, notation)


def _meant_name(text: str) -> Meant | None:
    base = base_name(text)
    return None if base == text else Meant(base, EXTENSION)


def _is_beyond(number: str, most: float | None) -> bool:
    return most is not None and abs(float(number)) > most

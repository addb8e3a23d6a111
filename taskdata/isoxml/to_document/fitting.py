"""Whether a value of a record can be stored in its attribute, and what the attribute takes."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from typing import Any

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import AttributeFact

_TEXTS = {"xs:string", "xs:ID", "xs:IDREF", "xs:anyURI", "xs:dateTime", "xs:language"}
_OCTETS = "xs:hexBinary"


@dataclass(frozen=True, slots=True)
class Attribute:
    """How an attribute follows from a record.

    Parameters
    ----------
    name : str
        The standard's name.
    column : str
        The name of the record's own attribute, which is also that of the column in a layer.
    stored : callable or None
        Makes what is stored of a value that is not None; None = the value itself.
    factor : int
        For lengths: how many steps of what is stored make one unit of the record.
    otherwise : int or None
        For an enumeration: what stands in for a value that the version lacks; None = the attribute is left out.
    """

    name: str
    column: str
    stored: Callable[[Any], object] | None = None
    factor: int = 1
    otherwise: int | None = None

    def value(self, record: object) -> object:
        """Return the value of a record."""
        return getattr(record, self.column)

    def of(self, record: object) -> object:
        """Return what is to be stored of a record, None for nothing; a value that is none of its kind stays."""
        value = self.value(record)
        if value is None:
            return None
        try:
            if self.factor != 1:
                return round(value * self.factor)  # type: ignore[operator]  # refused below where it is no number
            return value if self.stored is None else self.stored(value)
        except (TypeError, ValueError, OverflowError, LookupError):
            return value


def text_of(fact: AttributeFact, value: object) -> str | None:
    """Return the text that stores a value, None where the attribute cannot hold it; texts are not cut here."""
    if fact.type in _TEXTS:
        return str(value)
    if fact.type == _OCTETS:
        text = str(value)
        return text if re.fullmatch(f"([0-9A-F]{{2}}){{{fact.min_length or 0},{fact.max_length or 0}}}", text) else None
    number = _number(value)
    if number is None or not _within(fact, number):
        return None
    if fact.type == "xs:decimal":
        return value if isinstance(value, str) else f"{number:f}"
    whole = int(number.to_integral_value())
    return str(whole) if whole == number and is_known(fact, whole) else None


def _number(value: object) -> Decimal | None:
    try:
        number = Decimal(value if isinstance(value, str) else str(int(value) if isinstance(value, int) else value))
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


def _within(fact: AttributeFact, number: Decimal) -> bool:
    low, high = (None if limit is None else Decimal(limit) for limit in (fact.minimum, fact.maximum))
    return (low is None or low <= number) and (high is None or number <= high)


def is_known(fact: AttributeFact, value: int, version: int | None = None) -> bool:
    """Tell whether an enumeration has a value, in a version or in any; True for what is no enumeration."""
    if fact.type != "xs:NMTOKEN" or not fact.values:
        return True
    return any(item.low <= value <= item.high for item in fact.values if version is None or item.holds(version))


def takes(fact: AttributeFact, factor: int = 1) -> str:
    """Return in words what an attribute takes, in the unit of the record."""
    if fact.type in _TEXTS:
        return "a text"
    if fact.type == _OCTETS:
        return f"a whole number from 0 to {16 ** (2 * (fact.max_length or 0)) - 1}"
    if fact.type == "xs:NMTOKEN" and fact.values:
        return "one of " + ", ".join(f"{item.low} ({item.name})" for item in fact.values if item.low == item.high)
    kind = "a number" if fact.type == "xs:decimal" or factor != 1 else "a whole number"
    if fact.minimum is None or fact.maximum is None:
        return kind
    low, high = (Decimal(limit) / factor for limit in (fact.minimum, fact.maximum))
    return f"{kind} from {low.normalize():f} to {high.normalize():f}"

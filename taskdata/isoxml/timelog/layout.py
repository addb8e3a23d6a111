"""From the header of a time log to the layout of its records (ISO 11783-10, 8.6.3).

An attribute written empty is a field of every record; one with a value is a constant for all records; an absent one
does not exist. Fields follow the order of the standard, whatever the order of attributes in the header.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache
from itertools import zip_longest
from types import MappingProxyType

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place
from taskdata.isoxml.facts import AttributeFact, BinaryField, binary_fields, elements, letter
from taskdata.quantities.dictionary import ddi_number
from taskdata.raised_rules.timelog.bad_constant import RULE as BAD_CONSTANT
from taskdata.raised_rules.timelog.field_cannot_be_stored import RULE as FIELD_CANNOT_BE_STORED
from taskdata.raised_rules.timelog.fixed_start import RULE as FIXED_START
from taskdata.raised_rules.timelog.too_many_values import RULE as TOO_MANY_VALUES

COUNT = "DLVCount"
INDEX = "DLVIndex"
VALUE = "ProcessDataValue"
MOST_VALUES = 255
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")
_DATE_TIME = re.compile(r"(\d{4}-\d\d-\d\d)T(\d\d):(\d\d):(\d\d)(?:\.(\d+))?(?:Z|[+-]\d\d:\d\d)?")


@dataclass(frozen=True, slots=True)
class LogHeader:
    """The header of a time log as plain attributes (letter to text, in any order).

    Parameters
    ----------
    time : mapping
        Attributes of TIM.
    position : mapping or None
        Attributes of PTN; None = the header has none.
    values : tuple of mappings
        Attributes of each DLV in document order.
    time_line, position_line, value_lines : int, None, and tuple of int
        Where these elements stand in the file, for findings.
    """

    time: Mapping[str, str]
    position: Mapping[str, str] | None = None
    values: tuple[Mapping[str, str], ...] = ()
    time_line: int | None = None
    position_line: int | None = None
    value_lines: tuple[int | None, ...] = ()

    def places(self, file: str | None) -> dict[str, Place]:
        """Return the places of TIM and PTN, by tag."""
        lines = {"TIM": self.time_line, "PTN": self.position_line}
        return {tag: Place(file=file, line=line) for tag, line in lines.items()}

    def listed(self, file: str | None) -> Iterator[tuple[Place, Mapping[str, str]]]:
        """Yield place and attributes of each DLV."""
        for value, line in zip_longest(self.values, self.value_lines[: len(self.values)]):
            yield Place(file=file, line=line), value


@dataclass(frozen=True, slots=True)
class LoggedValue:
    """One DLV of the header; its position in the header is the index that records store.

    ``constant`` is the raw value for all records where the header fixes one, else None. ``ddi`` is None and
    ``element`` empty where the header does not name them readably.
    """

    ddi: int | None
    element: str
    constant: int | None
    attributes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Layout:
    """What each record of a time log holds.

    Parameters
    ----------
    fields : tuple of BinaryField
        Stored fields before the values, in file order, the count of values left out.
    counted : bool
        Whether each record holds the byte that counts its values. The standard lists it unconditionally; judged: it
        exists also when the header has no DLV. Logs of that kind without it are found by `decode`.
    constants : mapping
        Field name to the number that holds for all records, in the unit of the XML attribute (degrees, mm, ...).
    start : numpy.datetime64 or None
        Local start of all records where the header fixes it, unit ms.
    values : tuple of LoggedValue
        The DLV in the order of the header.
    findings : tuple of Finding
        What is wrong in the header itself.
    number : int or None
        Version of the standard whose records these are; None = the one that is written by default.
    """

    fields: tuple[BinaryField, ...]
    counted: bool
    constants: Mapping[str, Decimal]
    start: np.datetime64 | None
    values: tuple[LoggedValue, ...]
    findings: tuple[Finding, ...] = ()
    number: int | None = None

    @classmethod
    def of(cls, header: LogHeader, file: str | None = None, number: int | None = None) -> Layout:
        """Return the layout that ``header`` describes in a version of the standard. Never fails.

        ``file`` names the header in findings.
        """
        places = header.places(file)
        place = places["TIM"]
        findings = list(_unstorable(header, file, number))
        parts = {"TIM": header.time, "PTN": header.position or {}}
        fixed = [field for field in binary_fields("TLG", number) if field.source and _part(field)[0] in parts]
        texts = {field: parts[_part(field)[0]].get(_part(field)[1]) for field in fixed}
        start_text = header.time.get(letter("TIM", "Start"))
        start = _date_time(start_text, place, findings) if start_text else None
        if start is not None:
            findings.append(FIXED_START.at(place))
        if len(header.values) > MOST_VALUES:
            findings.append(TOO_MANY_VALUES.at(place, count=len(header.values)))
        return cls(
            fields=tuple(field for field in fixed if texts[field] == ""),
            counted=True,
            constants=MappingProxyType(dict(_constants(texts, places, findings))),
            start=start,
            values=tuple(_logged(attributes, at, findings) for at, attributes in header.listed(file)),
            findings=tuple(findings),
            number=number,
        )

    @property
    def dtype(self) -> np.dtype[np.void]:
        """Packed little-endian type of the fixed part of a record, the count of values last."""
        pairs = [(field.name, field.dtype) for field in self.fields]
        if self.counted:
            pairs += [(field.name, field.dtype) for field in binary_fields("TLG", self.number) if field.name == COUNT]
        return np.dtype(pairs)

    def field(self, name: str) -> BinaryField:
        """Return the stored field ``name``.

        Raises
        ------
        KeyError
            Records do not store such a field.
        """
        for item in self.fields:
            if item.name == name:
                return item
        raise KeyError(name)

    def uncounted(self) -> Layout:
        """Return the same layout without the byte that counts values."""
        return replace(self, counted=False)


@cache
def pair_dtype() -> np.dtype[np.void]:
    """Return the packed type of one stored value: its position in the header and the raw integer."""
    return np.dtype([(field.name, field.dtype) for field in binary_fields("TLG") if field.name in {INDEX, VALUE}])


def _part(field: BinaryField) -> tuple[str, str]:
    tag, _, attribute = (field.source or "").partition(".")
    return tag, attribute


def _unstorable(header: LogHeader, file: str | None, number: int | None) -> Iterator[Finding]:
    storable = {_part(field) for field in binary_fields("TLG", number)}
    places = header.places(file)
    parts = [("TIM", places["TIM"], header.time), ("PTN", places["PTN"], header.position or {})]
    for tag, place, attributes in (*parts, *(("DLV", place, item) for place, item in header.listed(file))):
        for key, fact in elements()[tag].attributes.items():
            if attributes.get(key) == "" and (tag, key) not in storable:
                yield FIELD_CANNOT_BE_STORED.at(place, tag=tag, name=fact.name)


def _constants(
    texts: Mapping[BinaryField, str | None], places: Mapping[str, Place], findings: list[Finding]
) -> Iterator[tuple[str, Decimal]]:
    for field, text in texts.items():
        tag, key = _part(field)
        if text and tag != "TIM":
            number = _number(text, elements()[tag].attributes[key], places[tag], findings)
            if number is not None:
                yield field.name, number


def _logged(attributes: Mapping[str, str], place: Place, findings: list[Finding]) -> LoggedValue:
    facts = elements()["DLV"]
    ddi_text = attributes.get(facts.letters["ProcessDataDDI"], "")
    ddi = ddi_number(ddi_text.strip())
    if ddi is None and ddi_text:
        findings.append(BAD_CONSTANT.at(place, tag="DLV", name="ProcessDataDDI", text=ddi_text))
    value_letter = facts.letters[VALUE]
    text = attributes.get(value_letter)
    number = _number(text, facts.attributes[value_letter], place, findings) if text else None
    return LoggedValue(
        ddi=ddi,
        element=attributes.get(facts.letters["DeviceElementIdRef"], ""),
        constant=None if number is None else int(number),
        attributes=MappingProxyType(dict(attributes)),
    )


def _number(text: str, fact: AttributeFact, place: Place, findings: list[Finding]) -> Decimal | None:
    clean = text.strip()
    if _NUMBER.fullmatch(clean):
        number = Decimal(clean)
        if fact.type == "xs:decimal" or number == number.to_integral_value():
            return number
    findings.append(BAD_CONSTANT.at(place, tag=fact.element, name=fact.name, text=text))
    return None


def _date_time(text: str, place: Place, findings: list[Finding]) -> np.datetime64 | None:
    """Return the local time of an xs:dateTime; a zone suffix names the zone of that local time and is dropped."""
    parts = _DATE_TIME.fullmatch(text.strip())
    try:
        if parts is not None:
            day, hour, minute, second, fraction = parts.groups()
            milliseconds = (int(hour) * 60 + int(minute)) * 60_000 + int(second) * 1000
            milliseconds += int(((fraction or "") + "000")[:3])
            return np.datetime64(day, "ms") + np.timedelta64(milliseconds, "ms")
    except ValueError:
        pass  # the shape of a date, but no day of the calendar
    findings.append(BAD_CONSTANT.at(place, tag="TIM", name="Start", text=text))
    return None

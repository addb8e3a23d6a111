"""The fact tables of the standard: elements, attributes, enumerations, binary layouts.

Everything that reads, writes, checks or describes task data asks here; no letter of an attribute is known elsewhere
by heart. Each fact says what it rests on (``basis``): ``text`` = from a summary of the 2015 edition, ``memory`` =
remembered, ``judged`` = concluded where the text is silent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import TypedDict

from taskdata.dataclass import dataclass
from taskdata.phrases import phrase
from taskdata.resources import table
from taskdata.versions import PublishedVersion, default_version, span_of, versions

ROOT = "ISO11783_TaskData"
LINK_LIST_ROOT = "ISO11783LinkList"
EXTERNAL_ROOT = "XFC"
OLDEST = 2
"""First version that was published; facts without a version hold from it on."""

_VERSION_NUMBERS = {(ROOT, "VersionMajor"), ("TCC", "C")}
"""Attributes whose values are the numbers of versions."""


class _Dates(TypedDict):
    since: int
    until: int | None


@dataclass(frozen=True, slots=True)
class Fact:
    """A row of a fact table that holds for some versions of the standard; ``until`` None = to the newest."""

    since: int
    until: int | None

    def holds(self, number: int) -> bool:
        """Tell whether the row holds for a version; that of a draft is 2."""
        return self.since <= number and (self.until is None or number <= self.until)

    def lacking(self, number: int) -> str:
        """Return why the row does not hold for a version, as the rest of a sentence."""
        if self.until is not None and number > self.until:
            return phrase(
                "exists only up to version {until}, and the file has version {number}", until=self.until, number=number
            )
        return phrase(
            "exists only from version {since} on, and the file has version {number}", since=self.since, number=number
        )


@dataclass(frozen=True, slots=True)
class EnumFact(Fact):
    """One allowed value of an enumeration; ``low`` and ``high`` differ for a reserved range."""

    low: int
    high: int
    name: str
    deprecated_in: int | None
    basis: str


@dataclass(frozen=True, slots=True)
class AttributeFact(Fact):
    """What the standard says of one attribute.

    ``type`` is an XML Schema type name. ``minimum`` and ``maximum`` are decimal texts. Lengths count characters, for
    ``xs:hexBinary`` bytes. ``refers_to`` names the element type of a reference, ``*`` = any.
    """

    element: str
    letter: str
    name: str
    required: bool
    type: str
    minimum: str | None
    maximum: str | None
    min_length: int | None
    max_length: int | None
    pattern: str | None
    fraction_digits: int | None
    unit: str | None
    refers_to: str | None
    basis: str
    note: str
    values: tuple[EnumFact, ...]


@dataclass(frozen=True, slots=True)
class ChildFact:
    """How often a child may stand in an element; ``most`` None = any number."""

    tag: str
    least: int
    most: int | None


@dataclass(frozen=True, slots=True)
class ElementFact(Fact):
    """What the standard says of one element. ``attributes`` is keyed by letter, ``letters`` by name.

    ``id_letter`` is the letter of the attribute that identifies the element in the set, or None; names of files are of
    type xs:ID too, but they do not identify the element.
    """

    tag: str
    name: str
    kind: str
    id_prefix: str | None
    children: tuple[ChildFact, ...]
    annex: str
    basis: str
    note: str
    attributes: Mapping[str, AttributeFact]
    letters: Mapping[str, str]
    id_letter: str | None


@cache
def elements() -> Mapping[str, ElementFact]:
    """Return every element of the standard, keyed by tag."""
    return MappingProxyType({row["tag"]: _element(row) for row in table("elements")})


@cache
def letter(tag: str, name: str) -> str:
    """Return the letter of the attribute ``name`` of element ``tag``.

    Raises
    ------
    KeyError
        The standard has no such element or attribute.
    """
    return elements()[tag].letters[name]


@cache
def references(tag: str) -> tuple[AttributeFact, ...]:
    """Return the attributes of an element that name another element; none of one that the standard does not know."""
    fact = elements().get(tag)
    return tuple(item for item in fact.attributes.values() if item.refers_to) if fact is not None else ()


@dataclass(frozen=True, slots=True)
class BinaryField(Fact):
    """One field of a binary record, little-endian.

    ``source`` is the XML attribute that says whether it is stored, such as ``PTN.A``; ``missing`` the raw value that
    means not available, as it reads in the field's own type.
    """

    order: int
    name: str
    source: str | None
    dtype: str
    missing: int | None
    unit: str
    scale: str
    definition: str


@cache
def binary_fields(file: str, number: int | None = None) -> tuple[BinaryField, ...]:
    """Return the fields of ``TLG``, ``GRD1``, ``GRD2`` or ``PNT`` records in file order, as a version has them.

    None stands for the version that is written by default.
    """
    wanted = default_version() if number is None else number
    fields = (_binary_field(row) for row in table("binary") if row["file"] == file)
    return tuple(field for field in fields if field.holds(wanted))


@cache
def _rows(name: str, *columns: str) -> Mapping[tuple[str, ...], Sequence[dict[str, str]]]:
    """Return the rows of a fact table by what stands in some of its columns."""
    found: dict[tuple[str, ...], list[dict[str, str]]] = {}
    for row in table(name):
        found.setdefault(tuple(row[column] for column in columns), []).append(row)
    return found


def _element(row: dict[str, str]) -> ElementFact:
    rows = _rows("attributes", "element").get((row["tag"],), ())
    attributes = {item["attribute"]: _attribute(item) for item in rows}
    return ElementFact(
        tag=row["tag"],
        name=row["name"],
        kind=row["kind"],
        **_dated(row),
        id_prefix=row["id_prefix"] or None,
        children=tuple(_child(row["tag"], word) for word in row["children"].split()),
        annex=row["annex"],
        basis=row["basis"],
        note=row["note"],
        attributes=MappingProxyType(attributes),
        letters=MappingProxyType({fact.name: fact.letter for fact in attributes.values()}),
        id_letter=next(
            (fact.letter for fact in attributes.values() if fact.type == "xs:ID" and row["id_prefix"]), None
        ),
    )


def _child(parent: str, word: str) -> ChildFact:
    least, most = {"?": (0, 1), "*": (0, None), "+": (1, None), "!": (1, 1)}[word[-1]]
    if word == "PTN*" and parent in {"ASP", "TIM"}:
        most = 2
    return ChildFact(word[:-1], least, most)


def _attribute(row: dict[str, str]) -> AttributeFact:
    return AttributeFact(
        element=row["element"],
        letter=row["attribute"],
        name=row["name"],
        required=row["use"] == "r",
        type=row["type"],
        minimum=row["min"] or None,
        maximum=row["max"] or None,
        min_length=_integer(row["minlen"]),
        max_length=_integer(row["maxlen"]),
        pattern=row["pattern"] or None,
        fraction_digits=_integer(row["fraction_digits"]),
        unit=row["unit"] or None,
        **_dated(row),
        refers_to=row["refers_to"] or None,
        basis=row["basis"],
        note=row["note"],
        values=_values(row["element"], row["attribute"]),
    )


def _values(tag: str, name: str) -> tuple[EnumFact, ...]:
    if (tag, name) in _VERSION_NUMBERS:
        return tuple(_version_value(item, tag) for item in versions())
    return tuple(_value(row) for row in _rows("enumerations", "element", "attribute").get((tag, name), ()))


def _version_value(version: PublishedVersion, tag: str) -> EnumFact:
    """Return the number of a version as a value of an attribute, which it is since its own or the element's version."""
    since = max(version.facts, next(int(row["since"] or OLDEST) for row in table("elements") if row["tag"] == tag))
    number = version.number
    return EnumFact(since, None, low=number, high=number, name=version.name, deprecated_in=None, basis=version.basis)


def _dated(row: dict[str, str]) -> _Dates:
    span = span_of(row)
    return {"since": OLDEST if span.since is None else span.since, "until": span.until}


def _value(row: dict[str, str]) -> EnumFact:
    low, _, high = row["value"].partition("-")
    return EnumFact(
        low=int(low),
        high=int(high or low),
        name=row["name"],
        **_dated(row),
        deprecated_in=_integer(row["deprecated_in"]),
        basis=row["basis"],
    )


def _binary_field(row: dict[str, str]) -> BinaryField:
    dtype = "<" + row["type"][0] + str(int(row["type"][1:]) // 8)
    missing = None
    if row["na_value"]:
        missing = int.from_bytes(bytes.fromhex(row["na_value"]), "big", signed=row["type"].startswith("i"))
    return BinaryField(
        **_dated(row),
        order=int(row["order"]),
        name=row["field"],
        source=row["xml_ref"] or None,
        dtype=dtype,
        missing=missing,
        unit=row["unit"],
        scale=row["scale"],
        definition=row["definition"],
    )


def _integer(text: str) -> int | None:
    return int(text) if text else None

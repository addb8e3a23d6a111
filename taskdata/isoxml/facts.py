"""The fact tables of the standard: elements, attributes, enumerations, binary layouts.

Everything that reads, writes, checks or describes task data asks here; no letter of an attribute is known elsewhere
by heart. Each fact says what it rests on (``basis``): ``text`` = from a summary of the 2015 edition, ``memory`` =
remembered, ``judged`` = concluded where the text is silent.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from taskdata.resources import table

ROOT = "ISO11783_TaskData"
LINK_LIST_ROOT = "ISO11783LinkList"
EXTERNAL_ROOT = "XFC"


@dataclass(frozen=True, slots=True)
class EnumFact:
    """One allowed value of an enumeration; ``low`` and ``high`` differ for a reserved range."""

    low: int
    high: int
    name: str
    since: int
    deprecated_in: int | None
    basis: str


@dataclass(frozen=True, slots=True)
class AttributeFact:
    """What the standard says of one attribute.

    ``type`` is an XML Schema type name. ``minimum`` and ``maximum`` are decimal texts. Lengths count characters, for
    ``xs:hexBinary`` octets. ``refers_to`` names the element type of a reference, ``*`` = any.
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
    since: int
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
class ElementFact:
    """What the standard says of one element. ``attributes`` is keyed by letter, ``letters`` by name.

    ``id_letter`` is the letter of the attribute that identifies the element in the set, or None; names of files are of
    type xs:ID too, but they do not identify the element.
    """

    tag: str
    name: str
    kind: str
    since: int
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
class BinaryField:
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
def binary_fields(file: str) -> tuple[BinaryField, ...]:
    """Return the fields of ``TLG``, ``GRD1``, ``GRD2`` or ``PNT`` records in file order."""
    return tuple(_binary_field(row) for row in table("binary") if row["file"] == file)


def _element(row: dict[str, str]) -> ElementFact:
    attributes = {item["attribute"]: _attribute(item) for item in table("attributes") if item["element"] == row["tag"]}
    return ElementFact(
        tag=row["tag"],
        name=row["name"],
        kind=row["kind"],
        since=int(row["since"] or 2),
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
        since=int(row["since"] or 2),
        refers_to=row["refers_to"] or None,
        basis=row["basis"],
        note=row["note"],
        values=_values(row["element"], row["attribute"]),
    )


def _values(tag: str, name: str) -> tuple[EnumFact, ...]:
    rows = (row for row in table("enumerations") if (row["element"], row["attribute"]) == (tag, name))
    return tuple(_value(row) for row in rows)


def _value(row: dict[str, str]) -> EnumFact:
    low, _, high = row["value"].partition("-")
    return EnumFact(
        low=int(low),
        high=int(high or low),
        name=row["name"],
        since=int(row["since"] or 2),
        deprecated_in=_integer(row["deprecated_in"]),
        basis=row["basis"],
    )


def _binary_field(row: dict[str, str]) -> BinaryField:
    dtype = "<" + row["type"][0] + str(int(row["type"][1:]) // 8)
    missing = None
    if row["na_value"]:
        missing = int.from_bytes(bytes.fromhex(row["na_value"]), "big", signed=row["type"].startswith("i"))
    return BinaryField(
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

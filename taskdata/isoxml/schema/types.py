"""Simple types of XML Schema for the attributes of the standard.

Attributes of equal limits share a type. Numbers carry a pattern beside their limits, because programs differ in what
they take for a digit; stamps carry one that keeps to the form with four digits of year.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import quoteattr

from taskdata.isoxml.facts import AttributeFact
from taskdata.isoxml.schema import layout

INTEGER_PATTERN = r"[+\-]?[0-9]+"
DECIMAL_PATTERN = r"[+\-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)"
STAMP_PATTERN = r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]+)?(Z|[+\-][0-9]{2}:[0-9]{2})?"
NAME_PATTERN = r"[A-Za-z_][A-Za-z0-9_.\-]*"
SHORTEST_STAMP = 19

EMPTY_NAME = "empty"
EMPTY_TYPE = (
    f'<xs:simpleType name="{EMPTY_NAME}">',
    '  <xs:restriction base="xs:token">',
    '    <xs:length value="0"/>',
    "  </xs:restriction>",
    "</xs:simpleType>",
)

Facet = tuple[str, str]


def simple_type(fact: AttributeFact, kind: layout.Kind, major: int) -> dict[str, tuple[str, ...]]:
    """Return the simple types that an attribute needs, as lines of XML by their name; the last is its own."""
    name, lines = _plain(fact, major)
    found = {name: lines}
    if layout.may_be_empty(fact, kind, major):
        union = f'  <xs:union memberTypes="{name} {EMPTY_NAME}"/>'
        found[EMPTY_NAME] = EMPTY_TYPE
        found[f"{name}_or_empty"] = (f'<xs:simpleType name="{name}_or_empty">', union, "</xs:simpleType>")
    return found


def _plain(fact: AttributeFact, major: int) -> tuple[str, tuple[str, ...]]:
    own = f"{fact.element}.{fact.letter}"
    match fact.type:
        case "xs:NMTOKEN":
            return _lines(own, "xs:NMTOKEN", [("enumeration", str(code)) for code in layout.codes(fact, major)])
        case "xs:dateTime":
            return _stamp(fact.max_length or SHORTEST_STAMP)
        case "xs:ID" | "xs:IDREF":
            return _name(fact, own)
        case "xs:string" | "xs:hexBinary" | "xs:anyURI":
            return _measured(fact, own)
        case _:
            return _number(fact, major)


def _number(fact: AttributeFact, major: int) -> tuple[str, tuple[str, ...]]:
    highest = layout.upper_limit(fact, major)
    facets = [("pattern", DECIMAL_PATTERN if fact.type == "xs:decimal" else INTEGER_PATTERN)]
    facets += [("minInclusive", fact.minimum)] if fact.minimum else []
    facets += [("maxInclusive", highest)] if highest else []
    facets += [("fractionDigits", str(fact.fraction_digits))] if fact.fraction_digits is not None else []
    label = "_".join([fact.type.removeprefix("xs:"), *(value for facet, value in facets if facet != "pattern")])
    return _lines(label, fact.type, facets)


def _name(fact: AttributeFact, own: str) -> tuple[str, tuple[str, ...]]:
    """Return the type of an id or of a reference.

    A reference is a name and not an xs:IDREF, because what it names may stand in another file of the set.
    """
    reference = fact.refers_to is not None
    tag = fact.refers_to or fact.element
    label = {"*": "ref-any", None: own}.get(fact.refers_to, f"ref-{tag}")
    base = "xs:NCName" if reference else "xs:ID"
    return _lines(label, base, [*_lengths(fact), ("pattern", fact.pattern or NAME_PATTERN)])


def _measured(fact: AttributeFact, own: str) -> tuple[str, tuple[str, ...]]:
    base = "xs:token" if fact.type == "xs:anyURI" else fact.type
    if fact.pattern:
        return _lines(own, base, [*_lengths(fact), ("pattern", fact.pattern)])
    limits = [str(limit) for limit in (fact.min_length, fact.max_length) if limit is not None]
    return _lines("_".join([base.removeprefix("xs:"), *(limits or ["any"])]), base, _lengths(fact))


def _lengths(fact: AttributeFact) -> list[Facet]:
    facets = [("minLength", fact.min_length), ("maxLength", fact.max_length)]
    return [(facet, str(value)) for facet, value in facets if value is not None]


def _stamp(longest: int) -> tuple[str, tuple[str, ...]]:
    """Return the type of a stamp; XML Schema has no limit of length for dates, so a second pattern gives it."""
    inner = [
        "<xs:simpleType>",
        *_indent(_restriction("xs:dateTime", [("pattern", STAMP_PATTERN)])),
        "</xs:simpleType>",
        f'<xs:pattern value=".{{{SHORTEST_STAMP},{longest}}}"/>',
    ]
    lines = ['<xs:simpleType name="dateTime_stamp">', "  <xs:restriction>", *_indent(_indent(inner))]
    return "dateTime_stamp", (*lines, "  </xs:restriction>", "</xs:simpleType>")


def _lines(name: str, base: str, facets: Sequence[Facet]) -> tuple[str, tuple[str, ...]]:
    return name, (f'<xs:simpleType name="{name}">', *_indent(_restriction(base, facets)), "</xs:simpleType>")


def _restriction(base: str, facets: Sequence[Facet]) -> list[str]:
    body = [f"  <xs:{facet} value={quoteattr(value)}/>" for facet, value in facets]
    return [f'<xs:restriction base="{base}">', *body, "</xs:restriction>"]


def _indent(lines: Sequence[str]) -> list[str]:
    return ["  " + line for line in lines]

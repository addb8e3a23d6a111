"""Plain words for what an attribute or an element should have been."""

from __future__ import annotations

from typing import Final

from taskdata.isoxml.facts import AttributeFact, elements
from taskdata.isoxml.schema import layout

SHOWN: Final = 60
"""So many characters of a value appear in a message."""


def attribute_label(tag: str, letter: str) -> str:
    """Return ``PFD.C PartfieldDesignator`` for ``PFD`` and ``C``; an unknown letter comes without a name."""
    element = elements().get(tag)
    fact = element.attributes.get(letter) if element else None
    if fact is None or fact.name == letter:
        return f"{tag}.{letter}"
    return f"{tag}.{letter} {fact.name}"


def element_label(tag: str) -> str:
    """Return ``PFD Partfield`` for ``PFD``; an unknown tag, or one that is its own name, comes alone."""
    fact = elements().get(tag)
    return tag if fact is None or fact.name == tag else f"{tag} {fact.name}"


def shortened(text: str) -> str:
    """Return a text that fits into a message, with an ellipsis where it was cut."""
    line = " ".join(text.split())
    return line if len(line) <= SHOWN else line[: SHOWN - 1] + "…"


def expectation(fact: AttributeFact, kind: layout.Kind, major: int) -> str:
    """Return what the value of an attribute should be, such as ``a text of at most 32 characters``."""
    words = _expectation(fact, major)
    return f"{words}, or empty if a binary file holds the value" if layout.may_be_empty(fact, kind, major) else words


def later_value(fact: AttributeFact, value: str, major: int) -> str | None:
    """Return words for an enumeration value that came with a later version than the file's, else None."""
    if not value.strip().isdecimal():
        return None
    code = int(value)
    for item in fact.values:
        if not layout.is_bit_set(fact) and item.low <= code <= item.high and not item.holds(major):
            return f"the value {code} ({item.name}) {item.lacking(major)}"
    limit = layout.upper_limit(fact, major)
    if layout.is_bit_set(fact) and limit and int(limit) < code <= sum(item.low for item in fact.values):
        late = next(item for item in fact.values if not item.holds(major))
        return f"the bit {late.low} ({late.name}) {late.lacking(major)}"
    return None


def unknown_attribute(tag: str, letter: str, major: int) -> str:
    """Return why an attribute is not allowed: a later version, a matter of capitals, or no such name."""
    facts = elements()[tag].attributes
    if letter in facts:
        return f"{attribute_label(tag, letter)} {facts[letter].lacking(major)}"
    for known in facts:
        if known.lower() == letter.lower():
            return f"names are case-sensitive; the standard writes '{known}'"
    return "the standard has no such attribute, and it is not a proprietary name (P, manufacturer code, underscore)"


def unknown_element(tag: str, major: int) -> str:
    """Return why an element is not allowed: a later version, a matter of capitals, or no such name."""
    facts = elements()
    if tag in facts:
        return f"{element_label(tag)} {facts[tag].lacking(major)}"
    for known in facts:
        if known.lower() == tag.lower():
            return f"names are case-sensitive; the standard writes '{known}'"
    return "the standard has no such element, and it is not a proprietary name (P, manufacturer code, underscore)"


def homes(tag: str, kind: layout.Kind, major: int) -> str:
    """Return where an element may stand in a kind of file, such as ``it belongs in PFD or TSK``."""
    parents = [
        parent
        for parent in layout.tags(kind, major)
        if any(child.tag == tag for child in layout.children(parent, major))
    ]
    return f"it belongs in {_either(parents)}" if parents else "this type of file holds none"


def _expectation(fact: AttributeFact, major: int) -> str:
    match fact.type:
        case "xs:NMTOKEN":
            names = {code: item.name for item in fact.values for code in range(item.low, item.high + 1)}
            return "one of " + ", ".join(f"{code} ({names[code]})" for code in layout.codes(fact, major))
        case "xs:dateTime":
            return f"a date and time such as 2026-05-04T07:30:00, at most {fact.max_length} characters"
        case "xs:ID" | "xs:IDREF":
            return _name_words(fact)
        case "xs:hexBinary":
            return _octets(fact)
        case "xs:string" | "xs:anyURI":
            return _text_words(fact)
        case _:
            return _number_words(fact, major)


def _number_words(fact: AttributeFact, major: int) -> str:
    unit = f" {fact.unit}" if fact.unit else ""
    limits = f"from {fact.minimum} to {layout.upper_limit(fact, major)}{unit}"
    if fact.type != "xs:decimal":
        return f"a whole number {limits}"
    digits = f" and at most {fact.fraction_digits} decimals" if fact.fraction_digits is not None else ""
    return f"a decimal number {limits}{digits}, without exponent"


def _name_words(fact: AttributeFact) -> str:
    if fact.refers_to == "*":
        return f"one identifier of {fact.min_length} to {fact.max_length} characters"
    what = "identifier" if fact.refers_to is None else "reference"
    tag = fact.refers_to or fact.element
    if elements()[tag].id_prefix:
        return (
            f"one {what}: {tag} or {tag}- followed by digits, {fact.min_length} to {fact.max_length} characters in all"
        )
    return f"a file name of the form {fact.pattern}"


def _octets(fact: AttributeFact) -> str:
    least, most = 2 * (fact.min_length or 0), 2 * (fact.max_length or 0)
    return f"{most} hexadecimal digits" if least == most else f"{least} to {most} hexadecimal digits, two per byte"


def _text_words(fact: AttributeFact) -> str:
    if fact.pattern:
        return f"a name of the form {fact.pattern}"
    return "a text" if fact.max_length is None else f"a text of at most {fact.max_length} characters"


def _either(items: list[str]) -> str:
    return items[0] if len(items) == 1 else ", ".join(items[:-1]) + " or " + items[-1]

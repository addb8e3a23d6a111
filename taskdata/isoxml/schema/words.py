"""Plain words for what an attribute or an element should have been."""

from __future__ import annotations

from typing import Final

from taskdata.isoxml.facts import AttributeFact, elements
from taskdata.isoxml.schema import layout
from taskdata.phrases import phrase

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
    return (
        phrase("{words}, or empty if a binary file holds the value", words=words)
        if layout.may_be_empty(fact, kind, major)
        else words
    )


def later_value(fact: AttributeFact, value: str, major: int) -> str | None:
    """Return words for an enumeration value that came with a later version than the file's, else None."""
    if not value.strip().isdecimal():
        return None
    code = int(value)
    for item in fact.values:
        if not layout.is_bit_set(fact) and item.low <= code <= item.high and not item.holds(major):
            return phrase("the value {code} ({name}) {lacking}", code=code, name=item.name, lacking=item.lacking(major))
    limit = layout.upper_limit(fact, major)
    if layout.is_bit_set(fact) and limit and int(limit) < code <= sum(item.low for item in fact.values):
        late = next(item for item in fact.values if not item.holds(major))
        return phrase("the bit {low} ({name}) {lacking}", low=late.low, name=late.name, lacking=late.lacking(major))
    return None


def unknown_attribute(tag: str, letter: str, major: int) -> str:
    """Return why an attribute is not allowed: a later version, a matter of capitals, or no such name."""
    facts = elements()[tag].attributes
    if letter in facts:
        return phrase(
            "{attribute_label} {lacking}",
            attribute_label=attribute_label(tag, letter),
            lacking=facts[letter].lacking(major),
        )
    for known in facts:
        if known.lower() == letter.lower():
            return phrase("names are case-sensitive; the standard writes '{known}'", known=known)
    return phrase(
        "the standard has no such attribute, and it is not a proprietary name (P, manufacturer code, underscore)"
    )


def unknown_element(tag: str, major: int) -> str:
    """Return why an element is not allowed: a later version, a matter of capitals, or no such name."""
    facts = elements()
    if tag in facts:
        return phrase("{element_label} {lacking}", element_label=element_label(tag), lacking=facts[tag].lacking(major))
    for known in facts:
        if known.lower() == tag.lower():
            return phrase("names are case-sensitive; the standard writes '{known}'", known=known)
    return phrase(
        "the standard has no such element, and it is not a proprietary name (P, manufacturer code, underscore)"
    )


def homes(tag: str, kind: layout.Kind, major: int) -> str:
    """Return where an element may stand in a kind of file, such as ``it belongs in PFD or TSK``."""
    parents = [
        parent
        for parent in layout.tags(kind, major)
        if any(child.tag == tag for child in layout.children(parent, major))
    ]
    return (
        phrase("it belongs in {either}", either=_either(parents)) if parents else phrase("this type of file holds none")
    )


def _expectation(fact: AttributeFact, major: int) -> str:
    match fact.type:
        case "xs:NMTOKEN":
            names = {code: item.name for item in fact.values for code in range(item.low, item.high + 1)}
            codes = [f"{code} ({names[code]})" for code in layout.codes(fact, major)]
            return phrase("one of {codes}", codes=codes)
        case "xs:dateTime":
            return phrase(
                "a date and time such as 2026-05-04T07:30:00, at most {max_length} characters",
                max_length=fact.max_length,
            )
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
    least, most = fact.minimum, f"{layout.upper_limit(fact, major)}{unit}"
    if fact.type != "xs:decimal":
        return phrase("a whole number from {least} to {most}", least=least, most=most)
    if fact.fraction_digits is None:
        return phrase("a decimal number from {least} to {most}, without exponent", least=least, most=most)
    return phrase(
        "a decimal number from {least} to {most} and at most {digits} decimals, without exponent",
        least=least,
        most=most,
        digits=fact.fraction_digits,
    )


def _name_words(fact: AttributeFact) -> str:
    if fact.refers_to == "*":
        return phrase(
            "one identifier of {min_length} to {max_length} characters",
            min_length=fact.min_length,
            max_length=fact.max_length,
        )
    what = phrase("identifier") if fact.refers_to is None else phrase("reference")
    tag = fact.refers_to or fact.element
    if elements()[tag].id_prefix:
        return phrase(
            "one {what}: {tag} or {tag}- followed by digits, {min_length} to {max_length} characters in all",
            what=what,
            tag=tag,
            min_length=fact.min_length,
            max_length=fact.max_length,
        )
    return phrase("a file name of the form {pattern}", pattern=fact.pattern)


def _octets(fact: AttributeFact) -> str:
    least, most = 2 * (fact.min_length or 0), 2 * (fact.max_length or 0)
    return (
        phrase("{most} hexadecimal digits", most=most)
        if least == most
        else phrase("{least} to {most} hexadecimal digits, two per byte", least=least, most=most)
    )


def _text_words(fact: AttributeFact) -> str:
    if fact.pattern:
        return phrase("a name of the form {pattern}", pattern=fact.pattern)
    return (
        phrase("a text")
        if fact.max_length is None
        else phrase("a text of at most {max_length} characters", max_length=fact.max_length)
    )


def _either(items: list[str]) -> str:
    return items[0] if len(items) == 1 else phrase("{items} or {last}", items=items[:-1], last=items[-1])

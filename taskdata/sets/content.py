"""What differs in things that two sets have in common: what is said of them, where they lie, what their files hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal, InvalidOperation

from taskdata.isoxml.facts import AttributeFact, ElementFact, elements
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import BINARY
from taskdata.phrases import phrase
from taskdata.progress import each
from taskdata.results.comparison import Aspect, Difference, DifferenceKind
from taskdata.sets.binaries import binary_differences
from taskdata.sets.elsewhere import differences_of_places
from taskdata.sets.keys import reference_letters
from taskdata.sets.pairing import Pairs
from taskdata.sets.shapes import Words, place_letters, placed
from taskdata.sets.side import Side
from taskdata.sets.wording import attribute_name, named

_NUMBERS = ("xs:decimal", "xs:double", "xs:long", "xs:unsignedLong", "xs:unsignedShort", "xs:unsignedByte")

_BLOCK = 2_048
"""Pairs of elements whose places are compared at once."""


def content_differences(
    first: Side, second: Side, pairs: Pairs, tolerance_m: float
) -> Iterator[tuple[Difference, Element]]:
    """Yield what differs in each pair, with the element of the first set."""
    words = Words()
    some: list[tuple[Element, Element]] = []
    for both in each(pairs.same.items(), "Comparing", "elements"):
        some.append(both)
        if len(some) == _BLOCK:
            yield from _differences(some, (first, second), pairs, words, tolerance_m)
            some.clear()
    yield from _differences(some, (first, second), pairs, words, tolerance_m)


def _differences(
    some: Sequence[tuple[Element, Element]], sides: tuple[Side, Side], pairs: Pairs, words: Words, tolerance_m: float
) -> Iterator[tuple[Difference, Element]]:
    """Yield what differs in some pairs."""
    places = [placed(one, two, sides) for one, two in some]
    moved = iter(differences_of_places([place for place in places if place is not None], tolerance_m))
    for (one, two), place in zip(some, places, strict=True):
        found: list[Difference] = []
        if one.attributes != two.attributes or pairs.renumbered:
            found += attribute_differences(one, two, pairs)
        if place is not None:
            found += next(moved)
        if one.tag == "LSG":
            found += words.differences(one, two)
        if one.tag in BINARY or one.tag == "AFE":
            found += binary_differences(one, two, *sides, pairs)
        yield from ((item, one) for item in found)


def attribute_differences(one: Element, two: Element, pairs: Pairs) -> Iterator[Difference]:
    """Yield what is said differently of two things; where they lie is told by itself."""
    fact, passed, referring = elements().get(one.tag), place_letters(one.tag), reference_letters(one.tag)
    own = fact.id_letter if fact is not None else None
    for letter in dict.fromkeys([*one.attributes, *two.attributes]):
        before, after = one.attributes.get(letter), two.attributes.get(letter)
        alike = _same_thing(pairs, before, after) if letter in referring else _same(_fact(fact, letter), before, after)
        if alike or letter in passed:
            continue
        thing, name = named(one), attribute_name(one, letter)
        what = phrase("{name} of {thing}", name=name, thing=thing)
        if before == after:
            what = phrase("{what}, which is something else there or missing", what=what)
        number = one.tag in BINARY and name == "Filename"
        aspect = Aspect.RENUMBERED if letter == own or (number and before and after) else Aspect.OWN
        ids = one.nearest_id(), two.nearest_id()
        yield Difference(DifferenceKind.CHANGED, *ids, what, before, after, thing=thing, aspect=aspect)


def _fact(fact: ElementFact | None, letter: str) -> AttributeFact | None:
    return None if fact is None else fact.attributes.get(letter)


def _same_thing(pairs: Pairs, before: str | None, after: str | None) -> bool:
    """Tell whether two references name the same thing."""
    if before is None or after is None:
        return before is after
    return pairs.meant_in_first(before) == pairs.meant_in_second(after)


def _same(fact: AttributeFact | None, before: str | None, after: str | None) -> bool:
    """Tell whether two texts say the same: a number may be spelled in several ways."""
    if before == after:
        return True
    if fact is None or before is None or after is None:
        return False
    if fact.type == "xs:hexBinary":
        return before.upper() == after.upper()
    if fact.type not in _NUMBERS:
        return False
    try:
        return Decimal(before) == Decimal(after)
    except InvalidOperation:
        return False

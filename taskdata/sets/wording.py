"""How elements and their attributes are called where two sets are spoken of."""

from __future__ import annotations

from functools import cache

from taskdata.isoxml.facts import EXTERNAL_ROOT, ROOT, elements
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import Phrase, phrase
from taskdata.sets.keys import own_name
from taskdata.sets.side import name_of

_NAMED_WITH_OWNER = {"TZN", "PDV", "TIM"}
_HOLE = "2"
_RINGS = {"1": phrase("outer ring"), _HOLE: phrase("hole")}


def spoken(element: Element) -> str:
    """Return an element in plain words, such as ``Partfield PFD1``, ``Polygon PLN3 of PFD1`` or ``Time of TSK2``."""
    said, owner = noun(element), _owner(element)
    return phrase("{thing} of {owner}", thing=said, owner=owner) if owner else said


def named(element: Element) -> str:
    """Return the same with the name in quotes where nothing else tells the element from its siblings."""
    name = "" if element.id or own_name(element) else name_of(element)
    return phrase('{thing} "{name}"', thing=spoken(element), name=name) if name else spoken(element)


def noun(element: Element) -> str:
    """Return what an element is, with its identifier or what else tells it from its siblings."""
    kind: str = _kinds().get(element.tag, element.tag)
    if is_ring(element):
        kind = _RINGS.get(element.get("LineStringType") or "", kind)
    own = element.id or own_name(element)
    return phrase("{kind} {name}", kind=kind, name=own) if own else kind


@cache
def _kinds() -> dict[str, Phrase]:
    return {tag: phrase(fact.name) for tag, fact in elements().items()}


def is_ring(element: Element) -> bool:
    """Tell whether an element is a line string that bounds a polygon."""
    return element.tag == "LSG" and element.parent is not None and element.parent.tag == "PLN"


def is_hole(element: Element) -> bool:
    """Tell whether an element is an inner ring of a polygon."""
    return is_ring(element) and element.get("LineStringType") == _HOLE


def attribute_name(element: Element, letter: str) -> str:
    """Return the standard's name of an attribute, of one that the standard does not know the name as written."""
    fact = elements().get(element.tag)
    known = fact.attributes.get(letter) if fact is not None else None
    return known.name if known is not None else letter


def _owner(element: Element) -> str:
    """Return the identifier of what an element belongs to; what has none by itself is named up to the next that has."""
    parent = element.parent
    if parent is None or parent.tag in {ROOT, EXTERNAL_ROOT}:
        return ""
    if parent.tag in _NAMED_WITH_OWNER or is_ring(element):
        return spoken(parent)
    if parent.id is not None and parent.tag != "GGP":
        return parent.id
    return _owner(parent) or parent.id or ""

"""What an element is recognised by in another set: link, identifier, name, number, file, what it says, its points."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from functools import cache

from taskdata.isoxml.facts import elements, letter, references
from taskdata.isoxml.tree.element import Element
from taskdata.sets.side import name_of

OWN_KEYS = {
    "TZN": ("TreatmentZoneCode",),
    "DPD": ("DeviceProcessDataObjectId",),
    "DPT": ("DevicePropertyObjectId",),
    "DVP": ("DeviceValuePresentationObjectId",),
    "DOR": ("DeviceObjectId",),
    "TLG": ("Filename",),
    "GRD": ("Filename",),
    "AFE": ("FilenameWithExtension",),
    "PRN": ("ProductIdRef",),
}
"""What tells an element without an identifier from its brothers."""

_WEAK_KEYS = {
    "PDV": ("ProcessDataDDI",),
    "DLV": ("ProcessDataDDI",),
    "DLT": ("DataLogDDI",),
    "TIM": ("Start", "Type"),
    "DAN": ("DeviceIdRef",),
    "WAN": ("WorkerIdRef",),
    "PAN": ("ProductIdRef",),
    "OTR": ("OperationTechniqueIdRef",),
}
"""What several brothers may have in common, and yet tells more than their order."""

Ids = Mapping[str, str]
Referred = Callable[[str], Hashable]
"""What a reference means, in words that are the same in both sets where it means the same thing."""


def own_name(element: Element) -> str:
    """Return what tells an element without identifier from its siblings: a code, a number, a file; empty if nothing."""
    names = OWN_KEYS.get(element.tag) or (_WEAK_KEYS["PDV"] if element.tag == "PDV" else ())
    return " ".join(element.get(name) or "" for name in names)


def id_and_name(element: Element, _: Referred) -> Hashable:
    """Return identifier and name, None where one is missing."""
    identifier, name = element.id, name_of(element)
    return (identifier, name) if identifier is not None and name else None


def own_key(element: Element, referred: Referred) -> Hashable:
    """Return what tells an element from its siblings, references carried over to the other set."""
    return _texts(element, OWN_KEYS.get(element.tag), referred)


def weak_key(element: Element, referred: Referred) -> Hashable:
    """Return what an element shares with few of its siblings."""
    return _texts(element, _WEAK_KEYS.get(element.tag), referred)


def id_and_content(element: Element, referred: Referred) -> Hashable:
    """Return identifier and all attributes."""
    return None if element.id is None else (element.id, said(element, referred))


def content(element: Element, referred: Referred) -> Hashable:
    """Return all attributes but the identifier, and the points that stand in the element and below."""
    return said(element, referred), tuple(item.coordinates().tobytes() for item in element.walk() if item.tag == "LSG")


def said(element: Element, referred: Referred) -> Hashable:
    """Return all attributes but the identifier, references carried over to the other set."""
    fact = elements().get(element.tag)
    own, named = (fact.id_letter if fact is not None else None), reference_letters(element.tag)
    return tuple(
        sorted(
            (name, referred(text) if name in named else text)
            for name, text in element.attributes.items()
            if name != own
        )
    )


@cache
def reference_letters(tag: str) -> frozenset[str]:
    """Return the letters of the attributes that name another element of the set."""
    return frozenset(fact.letter for fact in references(tag))


def _texts(element: Element, names: tuple[str, ...] | None, referred: Referred) -> Hashable:
    if names is None:
        return None
    named = reference_letters(element.tag)
    texts = [(key, element.attributes.get(key) or "") for key in (letter(element.tag, name) for name in names)]
    if not any(text for _, text in texts):
        return None
    return tuple(referred(text) if key in named else text for key, text in texts)

"""References after records were laid over a document: names become identifiers, what points to nothing is told."""

from __future__ import annotations

import re

from taskdata.isoxml.facts import AttributeFact, elements
from taskdata.isoxml.to_document.change import DocumentChange, named
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import LossKind
from taskdata.phrases import phrase

_KINDS = {"PFD": "field"}
"""What the trade calls a thing otherwise than the standard."""


def resolve_references(change: DocumentChange) -> None:
    """Make each reference that was written name an identifier of the set.

    A name becomes the identifier of the one thing that has it. What names nothing is refused where it is no
    identifier, and else left out and told, as the thing may be in another set.
    """
    if not change.referring:
        return
    change.document.touch()
    for item in change.referring:
        tag = str(item.fact.refers_to)
        found = change.document.by_id.get(item.text)
        if found is not None and found.tag == tag:
            continue
        named_so = [element for element in change.document.by_tag.get(tag, []) if item.text in _names(element)]
        if len(named_so) == 1 and named_so[0].id is not None:
            item.element.set(item.fact.name, named_so[0].id)
            continue
        item.element.set(item.fact.name, None)
        kind = _KINDS.get(tag) or re.sub("(?<=[a-z])(?=[A-Z])", " ", elements()[tag].name).lower()
        if len(named_so) < 2 and re.fullmatch(item.fact.pattern or "", item.text):
            what, why = f"{item.column} {item.text} of {named(item.owner)}", f"the set has no {kind} of that identifier"
            change.lose(LossKind.DROPPED, getattr(item.owner, "id", None), what, why)
        else:
            fits = f"{len(named_so)} things have that name" if named_so else f"the set has no {kind} of that name"
            takes = f"the identifier or the name of a {kind}; {fits}"
            change.refuse(item.owner, item.column, item.text, takes)


def _names(element: Element) -> set[str]:
    """Return the names that a person may know a thing by: its designator, or last name and full name."""
    first, last = (_text(element, ending) for ending in ("FirstName", "LastName"))
    whole = {f"{first} {last}", f"{last} {first}", f"{last}, {first}"} if first and last else set()
    return {text for text in (_text(element, "Designator"), last, *whole) if text}


def _text(element: Element, ending: str) -> str:
    names = (fact.name for fact in elements()[element.tag].attributes.values() if fact.name.endswith(ending))
    return next((text for name in names if (text := element.get(name))), "")


def mend_references(change: DocumentChange) -> None:
    """Drop optional references to elements that were removed; leave those that were broken before."""
    before = set(change.document.by_id)
    change.document.touch()
    gone = before - set(change.document.by_id)
    if not gone:
        return
    for element in change.document.walk():
        for attribute, target in element.references():
            if target in gone:
                _drop(change, attribute, element.nearest_id(), f"{attribute.name} {target}")
                if not attribute.required:
                    element.attributes.pop(attribute.letter)
    _mend_links(change, gone)


def _mend_links(change: DocumentChange, gone: set[str]) -> None:
    """Take the links of elements that were removed out of the link list."""
    file = change.document.link_list
    for link in [] if file is None else [item for item in file.root.walk() if item.tag == "LNK"]:
        target = link.get("ObjectIdRef")
        if target in gone:
            change.remove(link)
            change.lose(
                LossKind.DROPPED,
                None,
                phrase("link of {target} to {link_value}", target=target, link_value=link.get("LinkValue")),
                phrase("its target was removed"),
            )


def _drop(change: DocumentChange, attribute: AttributeFact, owner: str | None, what: str) -> None:
    if attribute.required:
        change.lose(
            LossKind.CHANGED,
            owner,
            phrase("reference {what} no longer refers to anything", what=what),
            phrase("its target was removed"),
        )
    else:
        change.lose(LossKind.DROPPED, owner, phrase("reference {what}", what=what), phrase("its target was removed"))

"""After things were taken out: references that point to nothing are taken out too, and told."""

from __future__ import annotations

from taskdata.isoxml.facts import AttributeFact
from taskdata.isoxml.to_document.change import Change
from taskdata.ledger import LossKind


def mend_references(change: Change) -> None:
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


def _mend_links(change: Change, gone: set[str]) -> None:
    """Take the links of elements that were removed out of the link list."""
    file = change.document.link_list
    for link in [] if file is None else [item for item in file.root.walk() if item.tag == "LNK"]:
        target = link.get("ObjectIdRef")
        if target in gone:
            change.remove(link)
            change.lose(
                LossKind.DROPPED, None, f"link of {target} to {link.get('LinkValue')}", "its target was removed"
            )


def _drop(change: Change, attribute: AttributeFact, owner: str | None, what: str) -> None:
    if attribute.required:
        change.lose(LossKind.CHANGED, owner, f"reference {what} now points to nothing", "its target was removed")
    else:
        change.lose(LossKind.DROPPED, owner, f"reference {what}", "its target was removed")

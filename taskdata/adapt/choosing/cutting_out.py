"""A chosen part of a document: the things that were picked, all that they need, and nothing of other people."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from taskdata.adapt.adaptation import label
from taskdata.adapt.choosing.leaving import Leaving
from taskdata.adapt.choosing.mentions import StayedBehind, leave_mentions, own_texts, words
from taskdata.adapt.choosing.picking import Picks, listed
from taskdata.adapt.parts.belonging import Belonging, Members
from taskdata.adapt.parts.cutting import cut
from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Unread
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import FILE_KINDS, file_name, file_names, is_link_list
from taskdata.isoxml.writing.mended_lengths import mend_lengths
from taskdata.model.choice import Choice
from taskdata.model.dataset import Dataset
from taskdata.phrases import phrase
from taskdata.raised_rules.file.missing import RULE as MISSING

_OWNERS = {"CTR": "customer", "FRM": "farm", "PFD": "field"}
_WHO_WROTE_IT = "TCC"
"""What a machine says of itself in the set that it wrote: nobody refers to it, and it goes along."""


@dataclass(frozen=True, eq=False)
class Part:
    """A part of a document, and what to know of it, as sentences."""

    document: Document
    notes: tuple[str, ...]


def part_of(document: Document, dataset: Dataset, choice: Choice, picks: Picks) -> Part:
    """Return the chosen part of a document as a document of its own; the whole stays as it is.

    Parameters
    ----------
    document : Document
        The whole.
    dataset : Dataset
        Its records.
    choice : Choice
        What is chosen.
    picks : Picks
        What that is in this set.
    """
    document.expand_loose_points()
    whole = copy_document(document)
    elements = {key: element for element, key in whole.keys.items()}
    picked = [
        elements[item.key]
        for items in (picks.customers, picks.farms, picks.fields, picks.tasks)
        for item in items
        if item.key is not None
    ]
    owners = {elements[item.key] for item in picks.owners if item.key is not None}
    leaving = Leaving(whole, dataset, elements)
    leaving.leave(choice)
    belonging = Belonging(whole)
    notes = [*picks.notes, *leaving.notes]
    if choice.names_something:
        heads, told = _of_nobody_else(belonging, picked, owners)
        keep = _needed(belonging, heads)
        notes += [*told, *_along(belonging, heads, keep)]
    else:
        keep = _without_tasks(belonging, set(picked))
    part = cut(belonging, keep, first=not choice.names_something, remarks=not choice.names_something)
    part.touch()
    part.findings = findings_of(part, document, document.findings)
    if choice.names_something and belonging.lacks(keep):
        part.findings += _unread_external(document)
    if choice.names_something:
        notes += [*leave_mentions(part, StayedBehind.of(document, part)), *_attached(part)]
    mend_lengths(part)
    part.touch()
    return Part(part, tuple(notes))


def _needed(belonging: Belonging, heads: Collection[Element]) -> Members:
    """Return what things need, what the machine says of itself, and attached files that the text of any of it names."""
    keep = belonging.closure([*heads, *(item for item in belonging.things if item.tag == _WHO_WROTE_IT)])
    texts = [text for thing in keep for text in own_texts(thing)]
    texts += [
        link.get("LinkValue") or "" for link in belonging.links() if belonging.owner(link.get("ObjectIdRef")) in keep
    ]
    told = {word for text in texts for word in words(text)}
    attached = (item for item in belonging.things if item.tag == "AFE" and not is_link_list(item))
    return keep | {item for item in attached if (file_name(item) or "").upper() in told}


def _of_nobody_else(
    belonging: Belonging, picked: Iterable[Element], owners: Collection[Element]
) -> tuple[list[Element], list[str]]:
    """Return what was picked but for what needs an owner of the kind of those named who is not among them; tell it."""
    kinds = {item.tag for item in owners}
    heads, other = [], []
    for item in picked:
        if belonging.owner_of(item) is not item:  # left out by kind or identifier
            continue
        needed = belonging.closure([item])
        if any(thing.tag in kinds and thing not in owners for thing in needed):
            other.append(f"{item.id or item.tag} ({label(item)})")
        else:
            heads.append(item)
    told = f"What also needs a customer or farm that was not chosen stays behind: {listed(other)}."
    return heads, [told] if other else []


def _along(belonging: Belonging, heads: Collection[Element], keep: Members) -> Iterator[str]:
    """Say which fields and owners go along that were not picked, and are not the owners of what was."""
    firm = [item for item in heads if item.tag != "TSK"] or heads
    usual = {*heads, *(thing for item in firm for thing in _chain(belonging, item))}
    others = [item for item in belonging.things if item in keep and item.tag in _OWNERS and item not in usual]
    if others:
        told = listed(f"{item.id or item.tag} ({label(item)})" for item in others)
        yield f"These go along since something chosen refers to them: {told}."


def _chain(belonging: Belonging, item: Element) -> set[Element]:
    """Return the owners of a thing, and theirs."""
    found: set[Element] = set()
    stack = [item]
    while stack:
        fresh = _owners(belonging, stack.pop()) - found
        found |= fresh
        stack += fresh
    return found


def _owners(belonging: Belonging, item: Element) -> set[Element]:
    """Return the customer, farm and field that a thing itself refers to."""
    targets = (belonging.owner(text) for _, text in item.references())
    return {thing for thing in targets if thing is not None and thing.tag in _OWNERS}


def _without_tasks(belonging: Belonging, tasks: Collection[Element]) -> Members:
    """Return everything but the tasks that are not among those chosen, and references to files that are empty then."""
    keep = {item for item in belonging.things if item.tag != "TSK" or item in tasks}
    return frozenset(keep - belonging.unneeded_references(keep))


def _unread_external(document: Document) -> Iterator[Finding]:
    """Yield what is known of external files that could not be read: what a part lacks may stand in any of them."""
    read = {file.name.upper() for file in document.task_files}
    for element in document.root.elements("XFR"):
        for name in file_names(element):
            if name.upper() in read:
                continue
            told = [
                item
                for item in document.findings
                if item.unread is not None and item.unread.file.upper() == name.upper()
            ]
            missing = MISSING.at(element.place(), element="XFR", file=name, wanted=name, kind=FILE_KINDS["XFR"])
            lost = replace(missing, unread=Unread(name, FILE_KINDS["XFR"], phrase("is not in the set")))
            yield from told or [lost]


def _attached(part: Document) -> Iterator[str]:
    """Say which attached files go along: nobody looks into them."""
    names = [name for item in part.by_tag.get("AFE", ()) if not is_link_list(item) and (name := file_name(item))]
    if names:
        yield f"Attached files go along since what was chosen names them; look into them: {listed(names)}."


def findings_of(part: Document, whole: Document, findings: Iterable[Finding]) -> list[Finding]:
    """Return what of some findings on a whole is about something that is in a part of it, or about no one thing."""
    files = _files(whole) - _files(part)
    ids = set(whole.by_id) - set(part.by_id)
    return [
        item
        for item in findings
        if item.place.element not in ids
        and (item.place.file or "").upper() not in files
        and (item.unread is None or item.unread.file.upper() not in files)
    ]


def _files(document: Document) -> set[str]:
    return {file.name.upper() for file in document.xml_files} | set(document.others)

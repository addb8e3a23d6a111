"""Two elements that are one thing, made one: what the second adds goes to the first, and all references with it."""

from __future__ import annotations

from taskdata.checks._content import NAMES, content
from taskdata.checks.linklist._links import UUID, kind
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork, remove


def contradicts(kept: Element, gone: Element, ignored: tuple[str, ...] = ()) -> bool:
    """Tell whether an attribute differs that both fill; identifiers, names and those ``ignored`` (by name) may."""
    facts = elements()[kept.tag]
    free = {fact.letter for fact in facts.attributes.values() if fact.name.endswith(NAMES) or fact.name in ignored}
    shared = (kept.attributes.keys() & gone.attributes.keys()) - free - {facts.id_letter}
    return any(
        kept.attributes[letter] and gone.attributes[letter] and kept.attributes[letter] != gone.attributes[letter]
        for letter in shared
    )


def merge(work: RepairWork, rule: str, pair: tuple[Element, Element], dropped: list[Element], reason: str) -> None:
    """Merge the second of a pair into the first; children in ``dropped``, and those that the first has, are left out.

    Where one of them has no identifier, the other's is kept.
    """
    kept, gone = pair
    old, new = gone.id, kept.id
    work.note(rule, gone, old or "stands twice", new, reason)
    _tell_what_gives_way(work, rule, kept, gone)
    for letter, text in gone.attributes.items():
        if not kept.attributes.get(letter):
            kept.attributes[letter] = text
    known = {content(child): child for child in kept.elements()}
    for child in list(gone.elements()):
        twin = known.get(content(child))
        if twin is not None:
            _lead_over(work, child, twin)
        elif child not in dropped:
            kept.append(child)
            _set_file(child, kept.file)
    if old is not None and new is not None:
        _drop_second_links(work, rule, old, new)
        work.renumber(old, new)
    remove(gone)
    work.touch()


def remove_link(link: Element) -> None:
    """Take a link out of the link list, and its group with the last one."""
    group = link.parent
    remove(link)
    if group is not None and group.tag == "LGP" and next(group.elements("LNK"), None) is None:
        remove(group)


def are_two_by_link(work: RepairWork, kept: Element, gone: Element) -> bool:
    """Tell whether the link list gives each of two elements a UUID of its own."""
    links = work.document.link_list
    found: dict[str, str | None] = {}
    for group in links.root.elements("LGP") if links is not None else ():
        if kind(group) == UUID:
            found |= {str(link.get("ObjectIdRef")): link.get("LinkValue") for link in group.elements("LNK")}
    one, two = found.get(str(kept.id)), found.get(str(gone.id))
    return one is not None and two is not None and one != two


def _tell_what_gives_way(work: RepairWork, rule: str, kept: Element, gone: Element) -> None:
    """Enter into the journal what the second says otherwise, such as its name: the first keeps its own."""
    facts = elements()[kept.tag]
    for letter, text in gone.attributes.items():
        fact = facts.attributes.get(letter)
        if fact is None or letter == facts.id_letter or not text:
            continue
        stays = kept.attributes.get(letter)
        if stays and stays != text:
            work.note(
                rule, gone, text, stays, phrase("the {name} of {id} stays", name=fact.name, id=kept.id or "the first")
            )


def _lead_over(work: RepairWork, gone: Element, kept: Element) -> None:
    """Point references to what goes, and to what is in it, to the same thing in what stays."""
    for old, new in zip(gone.walk(), kept.walk(), strict=False):
        if old.id is not None and new.id is not None:
            work.renumber(old.id, new.id)


def _set_file(element: Element, file: str) -> None:
    for item in element.walk():
        item.file = file


def _drop_second_links(work: RepairWork, rule: str, old: str, new: str) -> None:
    """Drop the links of what goes where what stays has one of the same kind."""
    links = work.document.link_list
    if links is None:
        return
    found = [item for item in links.root.walk() if item.tag == "LNK"]
    has = {_kind(item) for item in found if item.get("ObjectIdRef") == new}
    for item in found:
        if item.get("ObjectIdRef") == old and _kind(item) in has:
            work.note(rule, item, item.get("LinkValue"), None, phrase("{new} already has a link of this kind", new=new))
            remove_link(item)
            work.touch()


def _kind(link: Element) -> tuple[str | None, str | None]:
    group = link.parent
    return (None, None) if group is None else (group.get("LinkGroupType"), group.get("ManufacturerGLN"))

"""What differs in the link lists of two sets."""

from __future__ import annotations

from collections.abc import Container, Iterator

from taskdata.amounts import counted
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.results.comparison import Difference, DifferenceKind
from taskdata.sets.keys import Ids
from taskdata.sets.pairing import Pairs
from taskdata.sets.wording import attribute_name

_Links = dict[tuple[str, ...], list[tuple[str, str]]]
"""By group and object: values with designators."""


def link_differences(first: Document, second: Document, pairs: Pairs) -> Iterator[Difference]:
    """Yield what differs in link lists: what stands in their roots, and the links.

    Numbers of groups, and which of several groups of one kind holds a link, are no difference. Links of a thing that
    came or went are not told besides it.
    """
    ids = pairs.ids
    one, two = first.link_list, second.link_list
    if (one is None) != (two is None):
        kind = DifferenceKind.ADDED if one is None else DifferenceKind.REMOVED
        file = one or two
        count = sum(item.tag == "LNK" for item in file.root.walk()) if file is not None else 0
        what = phrase("the link list with {links}", links=counted(count, "link"))
        yield Difference(kind, None, None, what, thing=phrase("the link list"))
        return
    if one is not None and two is not None:
        yield from _roots((first.root, second.root), one.root, two.root)
    before, after = _links(first, ids, pairs.ids), _links(second, {}, pairs.found)
    for key in dict.fromkeys([*before, *after]):
        gone, come = list(before.get(key, ())), list(after.get(key, ()))
        for link in before.get(key, ()):
            if link in come:
                gone.remove(link)
                come.remove(link)
        yield from _of_one(key, gone, come)


def _of_one(key: tuple[str, ...], gone: list[tuple[str, str]], come: list[tuple[str, str]]) -> Iterator[Difference]:
    *group, target = key
    what = phrase(
        "link of {target} (type {kind})", target=target, kind=(group[0], *(text for text in group[1:] if text))
    )
    for at in range(max(len(gone), len(come))):
        before, after = (_told(links[at]) if at < len(links) else None for links in (gone, come))
        kind = DifferenceKind.CHANGED
        if before is None or after is None:
            kind = DifferenceKind.ADDED if before is None else DifferenceKind.REMOVED
        a, b = (None if text is None else target for text in (before, after))
        yield Difference(kind, a, b, what, before, after, thing=what)


def _told(link: tuple[str, str]) -> str:
    return " ".join(text for text in link if text)


def _roots(sets: tuple[Element, Element], one: Element, two: Element) -> Iterator[Difference]:
    """Yield what differs in the roots of the link lists; what differs alike in those of the sets is told there."""
    for letter in dict.fromkeys([*one.attributes, *two.attributes]):
        before, after = one.attributes.get(letter), two.attributes.get(letter)
        said = tuple(root.attributes.get(attribute_name(one, letter)) for root in sets)
        if before != after and said != (before, after):
            what = phrase("{name} of the link list", name=attribute_name(one, letter))
            yield Difference(DifferenceKind.CHANGED, None, None, what, before, after, thing=phrase("the link list"))


def _links(document: Document, ids: Ids, paired: Container[str]) -> _Links:
    """Return the links but for those of things that stand in this set alone."""
    found: _Links = {}
    file = document.link_list
    groups = (item for item in file.root.elements() if item.tag == "LGP") if file is not None else ()
    for group in groups:
        names = ("LinkGroupType", "ManufacturerGLN", "LinkGroupNamespace", "LinkGroupDesignator")
        kind = tuple(group.get(name) or "" for name in names)
        for link in group.elements("LNK"):
            target = link.get("ObjectIdRef") or ""
            if target in document.by_id and target not in paired:
                continue
            said = link.get("LinkValue") or "", link.get("LinkDesignator") or ""
            found.setdefault((*kind, ids.get(target, target)), []).append(said)
    return found

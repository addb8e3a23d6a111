"""The link lists of all sources as one."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.element import Element, Node, OtherNode
from taskdata.ledger import Loss, LossKind
from taskdata.phrases import phrase
from taskdata.sets.joining.building import Builder
from taskdata.sets.joining.numbering import Numbering
from taskdata.sets.joining.sources import UUID, RankedSource

_Key = tuple[object, ...]


class Links:
    """Unites link lists: groups of one type, maker and namespace become one, equal links stand once.

    Attributes
    ----------
    grown : bool
        Whether the list of the result differs from that of a source.
    losses : list of Loss
        Links whose target the result does not hold.
    """

    def __init__(self, sources: list[RankedSource], builder: Builder, numbers: Numbering) -> None:
        self.sources = sources
        self.builder = builder
        self.numbers = numbers
        self.grown = False
        self.losses: list[Loss] = []
        self._groups: dict[_Key, Element] = {}
        self._links: dict[_Key, Element] = {}
        self._ids: set[str] = set()
        self._uuids: dict[str, dict[str, int]] = {}

    def united(self) -> XmlFile | None:
        """Return the link list of the result, None where no source has one."""
        lists = [(source.index, source.document.link_list) for source in self.sources]
        first = next((file for _, file in lists if file is not None), None)
        if first is None:
            return None
        root = Element(first.root.tag, dict(first.root.attributes), file=first.name)
        sizes = []
        for index, file in lists:
            if file is None or dict(file.root.attributes) != root.attributes:
                self.grown = True
            if file is not None:
                self._add(root, index, file, main=file is first)
                sizes.append(sum(1 for group in file.root.elements() for _ in group.elements()))
        self.grown |= any(size != len(self._links) for size in sizes) or bool(self.losses)
        return replace(first, root=root, blob=None)

    def _add(self, root: Element, index: int, file: XmlFile, *, main: bool) -> None:
        seen: Counter[_Key] = Counter()
        for node in file.root.children:
            if isinstance(node, Element):
                self._add_group(root, index, node, seen, main=main)
            elif main:
                root.append(node)

    def _add_group(self, root: Element, index: int, group: Element, seen: Counter[_Key], *, main: bool) -> None:
        own = ("LinkGroupType", "ManufacturerGLN", "LinkGroupNamespace") if group.tag == "LGP" else ()
        key = _nth(
            seen, (group.tag, *(group.get(name) or "" for name in own), *(() if own else group.attributes.items()))
        )
        twin = self._groups.get(key)
        if twin is None:
            twin = self._groups[key] = Element(group.tag, dict(group.attributes), file=root.file)
            if group.id is not None:
                twin.set("LinkGroupId", self._free(group.id))
            root.append(twin)
        for node in group.children:
            self._add_link(twin, index, node, seen, key, main=main)

    def _add_link(self, twin: Element, index: int, node: Node, seen: Counter[_Key], group: _Key, *, main: bool) -> None:
        if not isinstance(node, Element):
            if main and isinstance(node, OtherNode):
                twin.append(node)
            return
        target = node.get("ObjectIdRef") if node.tag == "LNK" else None
        fresh = _copy(node, twin.file)
        if target is not None:
            told = phrase(
                "link {link_value} of {target} in {name}",
                link_value=node.get("LinkValue"),
                target=target,
                name=self.sources[index].name,
            )
            if self._is_gone(index, target):
                self.losses.append(Loss(LossKind.DROPPED, None, told, phrase("what it links was not kept")))
                return
            there = self.numbers.reference(index, target)
            holder = self._holder(index, twin, node.get("LinkValue") or "", there)
            if holder != there:
                why = phrase("a UUID belongs to one object only, and {holder} has it", holder=holder)
                self.losses.append(Loss(LossKind.DROPPED, there, told, why))
                return
            fresh.set("ObjectIdRef", there)
        value = (node.get("LinkValue") or "").lower() if target is not None else tuple(node.attributes.items())
        key = _nth(seen, ("link", group, node.tag, fresh.get("ObjectIdRef") if target is not None else None, value))
        if key not in self._links:
            self._links[key] = fresh
            twin.append(fresh)

    def _holder(self, index: int, group: Element, value: str, target: str) -> str:
        """Return what a link of another source gave its UUID to before, else the target of the link."""
        if group.get("LinkGroupType") != UUID or not value:
            return target
        held = self._uuids.setdefault(value.lower(), {})
        if target not in held and any(first != index for first in held.values()):
            return next(iter(held))
        held.setdefault(target, index)
        return target

    def _is_gone(self, index: int, target: str) -> bool:
        element = self.sources[index].target(target)
        return element is not None and self.builder.things.of.get(element) not in self.builder.built

    def _free(self, identifier: str) -> str:
        """Return the identifier of a group, or with its sign the next one that no group has."""
        sign = "-" if identifier.startswith("LGP-") else ""
        found, number = identifier, 0
        while found in self._ids:
            number += 1
            found = f"LGP{sign}{number}"
        self._ids.add(found)
        return found


def _nth(seen: Counter[_Key], key: _Key) -> _Key:
    """Return a key with how often a source has used it, so that repetitions in one source stay."""
    seen[key] += 1
    return (*key, seen[key])


def _copy(element: Element, file: str) -> Element:
    twin = Element(element.tag, dict(element.attributes), file=file)
    for node in element.children:
        twin.append(_copy(node, file) if isinstance(node, Element) else node)
    return twin

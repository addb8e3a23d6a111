"""The tree of the result, thing by thing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element, OtherNode
from taskdata.isoxml.tree.filenames import BINARY, file_name, file_names
from taskdata.phrases import phrase
from taskdata.results.merging import Decision, DecisionKind, Recognised
from taskdata.sets.joining.choosing import (
    STATUS_RULE,
    following,
    in_step,
    order,
    progress,
    rule_for,
    taken_whole,
    together,
)
from taskdata.sets.joining.contents import Contents
from taskdata.sets.joining.numbering import Numbering
from taskdata.sets.joining.places import hectares
from taskdata.sets.joining.recognise import CONTAINERS
from taskdata.sets.joining.sources import RankedSource, read_elsewhere
from taskdata.sets.joining.things import MergedEntities, MergedEntity
from taskdata.sets.wording import noun

CAPABILITIES = "TCC"
MAIN_FILE = "TASKDATA.XML"
_FILES = {**dict.fromkeys(BINARY, "Filename"), "AFE": "FilenameWithExtension"}
_WHOLE = {
    "PFD": phrase("outline"),
    "TSK": phrase("treatment zones and grid"),
    "TLG": phrase("recorded data"),
}


class Builder:
    """Builds the result.

    Attributes
    ----------
    journal, recognised : list
        What was decided and recognised on the way.
    built : dict of Thing to Element
        What stands in the result under an identifier.
    carriers : list of (int, Element)
        What of which source names a file that the result needs.
    grown : bool
        Whether the result holds anything that one of the sources does not hold.
    """

    def __init__(
        self, sources: list[RankedSource], things: MergedEntities, contents: Contents, numbers: Numbering
    ) -> None:
        self.sources = sources
        self.things = things
        self.contents = contents
        self.numbers = numbers
        self.journal: list[Decision] = []
        self.recognised: list[Recognised] = []
        self.built: dict[MergedEntity, Element] = {}
        self.carriers: list[tuple[int, Element]] = []
        self.grown = False

    def fill(self, root: Element) -> None:
        """Put everything under the root; of machines' capabilities those of the first source."""
        done: set[MergedEntity] = set()
        for source in self.sources:
            elsewhere = read_elsewhere(source, self.sources)
            for node in source.top():
                if not isinstance(node, Element):
                    if source.index == 0:
                        root.append(node)
                elif node.tag == "XFR" and not elsewhere.isdisjoint(map(str.upper, file_names(node))):
                    self.grown = True
                elif node.tag == CAPABILITIES:
                    if source.index == 0:
                        root.append(self._copy(0, node))
                elif self.things.of[node] not in done:
                    thing = self.things.of[node]
                    done.add(thing)
                    root.append(self._thing(thing, task=node.tag == "TSK"))
                    self.grown |= len(thing.members) < len(self.sources)

    def _thing(self, thing: MergedEntity, *, task: bool) -> Element:
        if not thing.shared:
            return self._copy(*next(iter(thing.members.items())))
        indices = order(thing, self.sources, task=task)
        first = thing.members[indices[0]]
        whole = self._whole_from(thing, indices, task=task)
        container = first.tag in CONTAINERS
        layout = indices[0] if container else whole
        element = Element(first.tag, file=MAIN_FILE)
        self.built[thing] = element
        element.attributes = self._attributes(thing, indices, whole, task=task)
        self._note(thing)
        if first.tag in _FILES:
            self._note_files(thing, element, letter(first.tag, _FILES[first.tag]))
        if not container:
            self._fill_copy(element, whole, thing.members[whole])
        else:
            self._unite(element, thing, [layout, *(i for i in indices if i != layout)], whole, task=task)
        return element

    def _unite(self, element: Element, thing: MergedEntity, indices: list[int], whole: int, *, task: bool) -> None:
        """Put in the children of all sources, each thing once; what is taken whole from one source alone."""
        done: set[MergedEntity] = set()
        for index in indices:
            parent = thing.members[index]
            for node in parent.children:
                if not isinstance(node, Element):
                    if index == indices[0]:
                        element.append(node)
                    continue
                child = self.things.of[node]
                if child in done:
                    continue
                if not taken_whole(parent, node):
                    done.add(child)
                    element.append(self._thing(child, task=task))
                    self.grown |= len(child.members) < len(thing.members)
                elif whole in child.members:
                    done.add(child)
                    element.append(self._copy(whole, child.members[whole]))

    def _whole_from(self, thing: MergedEntity, indices: list[int], *, task: bool) -> int:
        """Return the source from which what is taken whole comes; journal it where they differ."""
        digests = {index: self._whole(thing.members[index], index) for index in indices}
        lost = {index: self._lost(thing.members[index], index) for index in indices}
        filled = [index for index in indices if digests[index]]
        if not filled:
            return min(indices, key=lambda index: lost[index])
        chosen = min(filled, key=lambda index: lost[index])
        others = [index for index in filled if digests[index] != digests[chosen]]
        self.grown |= len(filled) < len(indices) or bool(others)
        if thing.members[chosen].tag not in _WHOLE:
            kept = Counter(digests[chosen])
            others = [index for index in others if not Counter(digests[index]) <= kept]
        if others:
            first = thing.members[chosen]
            what = phrase(
                "{what} of {thing}", what=_WHOLE.get(first.tag, phrase("content")), thing=self._spoken(thing, first)
            )
            words = dict.fromkeys(self._as_in(index, thing.members[index]) for index in (chosen, *others))
            word, *dropped = words
            rule = rule_for(first.tag, map(self.sources.__getitem__, (chosen, *others)), task=task)
            self._decide(first, what, rule, word, dropped)
        return chosen

    def _as_in(self, index: int, element: Element) -> str:
        """Return what a source holds, with its size where that helps to choose."""
        source = self.sources[index]
        shape = source.side.outlines.get(element) if element.tag == "PFD" else None
        blob = source.document.binary(file_name(element) or "") if element.tag == "TLG" else None
        if blob is not None:
            return phrase("as in {source} ({size} bytes)", source=source.name, size=blob.size)
        if shape is not None:
            return phrase("as in {source} ({area:.2f} ha)", source=source.name, area=hectares(shape))
        return phrase("as in {source}", source=source.name)

    def _whole(self, element: Element, index: int) -> tuple[object, ...]:
        """Return what of an element is taken whole, as something that compares; empty if there is none."""
        container = element.tag in CONTAINERS
        children = [item for item in element.elements() if not container or taken_whole(element, item)]
        content = [self.contents.digest(index, item) for item in sorted(children, key=lambda item: item.tag)]
        if element.tag == "TLG":
            content.append(self.contents.file(index, element).encode() if file_name(element) else b"")
        elif not container:
            bare = Element(element.tag)
            bare.children = [node for node in element.children if not isinstance(node, Element)]
            if any(not isinstance(node, OtherNode) or node.kind == "text" for node in bare.children):
                content.append(self.contents.digest(index, bare))
        return tuple(content)

    def _lost(self, element: Element, index: int) -> int:
        """Return how many files that what is taken whole of an element names are lost in a source."""
        source = self.sources[index]
        if element.tag not in CONTAINERS:
            return source.lost(element)
        return sum(source.lost(item) for item in element.elements() if taken_whole(element, item))

    def _attributes(self, thing: MergedEntity, indices: list[int], whole: int, *, task: bool) -> dict[str, str]:
        """Return the attributes of a thing of several sources; journal where they differ."""
        members = thing.members
        tag = members[indices[0]].tag
        chosen: dict[str, str] = {}
        for name in dict.fromkeys(name for index in indices for name in members[index].attributes):
            if name in together(tag):
                if name in members[whole].attributes:
                    chosen[name] = self._text(whole, members[whole], name)
                continue
            told = self._told(members, indices, name)
            at, rule = self._word(members, indices, name, task=task)
            if at in told:
                chosen[name] = told[at]
            self.grown |= len(told) < len(indices)
            dropped = dict.fromkeys(text for text in told.values() if text != told.get(at))
            if dropped and name not in following(tag):
                what = phrase("{name} of {thing}", name=_name(tag, name), thing=self._spoken(thing, members[at]))
                self._decide(members[at], what, rule, told.get(at), dropped)
        return chosen

    def _told(self, members: dict[int, Element], indices: list[int], name: str) -> dict[int, str]:
        """Return what each source says in an attribute, in order; blanks only where no source says more."""
        holders = [index for index in indices if name in members[index].attributes]
        texts = {index: self._text(index, members[index], name) for index in holders}
        return {index: text for index, text in texts.items() if text} or texts

    def _word(self, members: dict[int, Element], indices: list[int], name: str, *, task: bool) -> tuple[int, str]:
        """Return the source whose word counts in an attribute, and why."""
        tag = members[indices[0]].tag
        told = self._told(members, indices, name)
        if tag == "TSK" and name == letter("TSK", "TaskStatus"):
            return max(told, key=lambda index: progress(told[index])), STATUS_RULE
        rule = rule_for(tag, map(self.sources.__getitem__, told), task=task)
        group = [self._told(members, indices, item) for item in in_step(tag, name)]
        if any(len(set(texts.values())) > 1 for texts in group):
            return next(index for index in indices if any(index in texts for texts in group)), rule
        return next(iter(told)), rule

    def _copy(self, index: int, element: Element) -> Element:
        twin = Element(element.tag, file=MAIN_FILE)
        twin.attributes = {name: self._text(index, element, name) for name in element.attributes}
        if element in self.things.of:
            self.built[self.things.of[element]] = twin
        self._fill_copy(twin, index, element)
        return twin

    def _fill_copy(self, twin: Element, index: int, element: Element) -> None:
        if element.tag in BINARY or element.tag == "AFE":
            self.carriers.append((index, element))
        for node in element.children:
            twin.append(self._copy(index, node) if isinstance(node, Element) else node)

    def _text(self, index: int, element: Element, name: str) -> str:
        return self.numbers.text(index, element, name)

    def _spoken(self, thing: MergedEntity, element: Element) -> str:
        """Return a thing in plain words with its identifier in the result."""
        identifier = self.numbers.id_of(thing)
        fact = elements().get(element.tag)
        if identifier is not None:
            kind = phrase(fact.name) if fact is not None else element.tag
            return phrase("{kind} {name}", kind=kind, name=identifier)
        owner = self._owner(element)
        return phrase("{thing} of {owner}", thing=noun(element), owner=owner) if owner else noun(element)

    def _owner(self, element: Element) -> str | None:
        """Return the identifier, in the result, of the nearest identified element at or above."""
        node: Element | None = element
        while node is not None:
            if node in self.things.of and (identifier := self.numbers.id_of(self.things.of[node])) is not None:
                return identifier
            node = node.parent
        return None

    def _decide(self, element: Element, what: str, why: str, kept: str | None, dropped: Iterable[str]) -> None:
        self.journal.append(Decision(DecisionKind.CONFLICT, self._owner(element), what, why, kept, tuple(dropped)))
        self.grown = True

    def _note_files(self, thing: MergedEntity, element: Element, name: str) -> None:
        """Enter under which name the file stands that all members of a thing name; ``name`` is the letter."""
        for index, item in thing.members.items():
            if name in item.attributes and name in element.attributes:
                self.numbers.note_file(index, item.attributes[name], element.attributes[name])

    def _note(self, thing: MergedEntity) -> None:
        """Enter what was recognised, and where that was unsure, put it into the journal."""
        identifier, how = self.numbers.id_of(thing), thing.how
        if how is None:
            return
        member = next(iter(thing.members.values()))
        what = self._spoken(thing, member)
        if identifier is not None:
            ids = {self.sources[index].name: item.id or "" for index, item in thing.members.items()}
            self.recognised.append(Recognised(identifier, what, how, ids))
        if how.unsure:
            kept, *dropped = (
                phrase("{name} in {source}", name=i.nearest_id(), source=self.sources[index].name)
                for index, i in thing.members.items()
            )
            why = phrase("treated as the same by {how}; check that they are", how=phrase(how))
            owner = self._owner(member)
            self.journal.append(Decision(DecisionKind.RECOGNISED, owner, what, why, kept, tuple(dropped)))


def _name(tag: str, name: str) -> str:
    fact = elements().get(tag)
    known = fact.attributes.get(name) if fact is not None else None
    return known.name if known is not None else name

"""Identifiers and file names of the result: what is taken gets the next free one, and every reference follows."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import count

from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import BINARY, LINK_LIST, is_link_list
from taskdata.sets.joining.sources import RankedSource
from taskdata.sets.joining.things import MergedEntities, MergedEntity

_DIGITS = 5
_STEM = 8
_ID = re.compile(r"([A-Z]{3})(-?)(?P<number>[0-9]+)")
_HIGHEST = 4_294_967_294


class Numbering:
    """New identifiers and file names for old ones.

    The first source keeps all its own; of the others, each keeps what is still free. What was made of layers is
    numbered after everything in the task data sets that it is merged into. A machine's negative numbers
    stay negative (ISO 11783-10, 8.4), so that it knows again what it made.

    Attributes
    ----------
    renamed : dict of int to dict of str to str
        What changed, by index of the source.
    """

    def __init__(self, sources: list[RankedSource], things: MergedEntities) -> None:
        self.sources = sources
        self.things = things
        self.renamed: dict[int, dict[str, str]] = {source.index: {} for source in sources}
        self._ids: dict[MergedEntity, str] = {}
        self._dangling: dict[tuple[int, str], str] = {}
        self._files: dict[tuple[int, str], str] = {}
        self._told: set[tuple[int, str]] = set()
        self._new = {source.index for source in sources if source.side.of_layers and not sources[0].side.of_layers}
        kept = [source for source in sources if source.index not in self._new]
        self._reserved = {item.id for source in kept for item in source.document.walk() if item.id is not None}
        self._reserved_files = {name for source in sources for name in _file_names(source)}
        self._taken: dict[str, int] = {}
        self._taken_files: dict[str, int] = {}
        self._next: dict[str, int] = {}
        self._after = _after(kept)
        for source in sources:
            for element in source.document.walk():
                self._number(source.index, element)

    def id_of(self, thing: MergedEntity) -> str | None:
        """Return the identifier of a thing in the result, None for one without."""
        return self._ids.get(thing)

    def text(self, index: int, element: Element, name: str) -> str:
        """Return an attribute of an element of a source as it stands in the result."""
        text = element.attributes[name]
        fact = elements().get(element.tag)
        known = fact.attributes.get(name) if fact is not None else None
        if not text or fact is None or known is None:
            return text
        if name == fact.id_letter:
            return self._ids.get(self.things.of[element], text) if element in self.things.of else text
        if known.refers_to:
            return self.reference(index, text)
        if element.tag in BINARY and known.name == "Filename":
            return self.file(index, text)
        if element.tag == "AFE" and known.name == "FilenameWithExtension" and not is_link_list(element):
            return self.file(index, text)
        return text

    def reference(self, index: int, identifier: str) -> str:
        """Return what a reference of a source says in the result; one to nothing keeps pointing to nothing."""
        target = self.sources[index].target(identifier)
        thing = None if target is None else self.things.of.get(target)
        if thing is not None and thing in self._ids:
            return self._ids[thing]
        key = (index, identifier)
        if key not in self._dangling:
            found = identifier if identifier not in self._taken else self._free(identifier)
            self._dangling[key] = found
            self._reserved.add(found)
            self._note(index, identifier, found)
        return self._dangling[key]

    def file(self, index: int, name: str) -> str:
        """Return the name, in the result, of a file of a source: with its ending for attachments, else without."""
        key = (index, name.upper())
        if key not in self._files:
            found = name
            if self._taken_files.get(name.upper(), index) != index:
                found = self._free_file(name.upper())
            self._files[key] = found
            self._taken_files.setdefault(found.upper(), index)
            self._note(index, name, found)
        return self._files[key]

    def note_file(self, index: int, name: str, found: str) -> None:
        """Enter under which name a file of a source stands in the result, where another source brought it."""
        if (index, name.upper()) not in self._told:
            self._told.add((index, name.upper()))
            self._note(index, name, found)

    def another_file(self, index: int, name: str) -> str:
        """Return a name that no file of a source has, for one that nothing refers to and whose name is taken."""
        found = self._free_file(name.upper())
        self._note(index, name, found)
        return found

    def _number(self, index: int, element: Element) -> None:
        identifier, thing = element.id, self.things.of.get(element)
        if identifier is None or thing is None:
            return
        if thing not in self._ids:
            free = index not in self._new and self._taken.get(identifier, index) == index
            found = self._ids[thing] = (
                identifier if free else self._free(identifier, element.tag, new=index in self._new)
            )
            self._taken.setdefault(found, index)
        self._note(index, identifier, self._ids[thing])

    def _note(self, index: int, old: str, new: str) -> None:
        if old != new:
            self.renamed[index].setdefault(old, new)

    def _free(self, identifier: str, tag: str = "", *, new: bool = False) -> str:
        """Return the next number that no source uses, with the letters and the sign of an identifier.

        One that is ``new`` to the sets gets a number after all of theirs.
        """
        form = _ID.fullmatch(identifier)
        fact = elements().get(tag)
        prefix = "".join(form.group(1, 2)) if form else (fact.id_prefix if fact is not None else None) or identifier[:3]
        first = self._next.get(prefix, 1)
        for number in count(max(first, self._after.get(prefix, first)) if new else first):
            found = f"{prefix}{number}"
            if found not in self._reserved and found not in self._reserved_files:
                self._next[prefix] = number + 1
                self._reserved.add(found)
                return found
        raise AssertionError("numbers do not end")

    def _free_file(self, name: str) -> str:
        stem, point, ending = name.rpartition(".") if "." in name else (name, "", "")
        bare = stem.rstrip("0123456789")
        width = len(stem) - len(bare) or _STEM - _DIGITS
        for number in count(1):
            digits = f"{number:0{width}d}"
            found = bare[: max(len(stem), _STEM) - len(digits)] + digits + point + ending
            names = {found, found.partition(".")[0]}
            if names.isdisjoint(self._reserved_files) and names.isdisjoint(self._reserved):
                self._reserved_files.add(found)
                return found
        raise AssertionError("numbers do not end")


def _after(sources: Iterable[RankedSource]) -> dict[str, int]:
    """Return the number after the highest of each letters and sign of identifiers, as far as numbers go."""
    highest: dict[str, int] = {}
    for source in sources:
        for element in source.document.walk():
            form = _ID.fullmatch(element.id or "")
            if form and len(form["number"]) <= len(str(_HIGHEST)):
                prefix, number = "".join(form.group(1, 2)), int(form["number"])
                highest[prefix] = max(highest.get(prefix, 0), number)
    return {prefix: number + 1 for prefix, number in highest.items() if number < _HIGHEST}


def _file_names(source: RankedSource) -> set[str]:
    """Names of the files of a source and of those it refers to, in capitals, also without their endings."""
    names = {name.upper() for name in (*source.document.others, *(file.name for file in source.document.xml_files))}
    for tag in BINARY:
        for element in source.document.by_tag.get(tag, ()):
            names.add(element.attributes.get(letter(tag, "Filename"), "").upper())
    return {*names, *(name.partition(".")[0] for name in names), LINK_LIST}

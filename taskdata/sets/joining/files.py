"""The files of the result beside its main file."""

from __future__ import annotations

from dataclasses import replace

from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import BINARY, FILE_SUFFIXES, LINK_LIST, file_name, file_names, is_link_list
from taskdata.phrases import phrase
from taskdata.results.merging import Decision, DecisionKind
from taskdata.sets.joining.building import Builder
from taskdata.sets.joining.numbering import Numbering
from taskdata.sets.joining.sources import RankedSource, read_elsewhere

KEPT_BOTH = phrase("nothing in its set refers to it, and another source has a different file of this name")


class Files:
    """Puts files into the result.

    Attributes
    ----------
    journal : list of Decision
        Which files nobody refers to had to be renamed.
    grown : bool
        Whether the result has such a file that one of the sources does not have.
    """

    def __init__(self, document: Document, sources: list[RankedSource], builder: Builder, numbers: Numbering) -> None:
        self.document = document
        self.sources = sources
        self.builder = builder
        self.numbers = numbers
        self.journal: list[Decision] = []
        self.grown = False
        self._placed: dict[tuple[str, str], str] = {}
        self._from: dict[tuple[str, str], int] = {}
        self._names: dict[str, str] = {}

    def place(self) -> None:
        """Put in what the result refers to, and what nobody refers to but lies there."""
        for index, element in self.builder.carriers:
            if element.tag == "AFE":
                name = element.get("FilenameWithExtension")
                if name is not None and not is_link_list(element):
                    self._copy(index, name, self.numbers.file(index, name))
                continue
            name = file_name(element)
            if name is not None:
                self._copy(index, f"{name}.BIN", f"{self.numbers.file(index, name)}.BIN")
                if element.tag == "TLG":
                    self._header(index, name)
        for source in self.sources:
            self._strangers(source)
            self._note_names(source)

    def _note_names(self, source: RankedSource) -> None:
        """Enter under which names the files stand that other sources hold too, under other names."""
        for tag in (*BINARY, "AFE"):
            for element in source.document.by_tag.get(tag, ()):
                name, ending = file_name(element) or "", FILE_SUFFIXES[tag][-1]
                old, mark = f"{name}{ending}".upper(), source.digest(name + ending)
                new = self._placed.get((old, mark)) or self._names.get(mark)
                if new is not None and new != old:
                    self.numbers.note_file(source.index, name, new.removesuffix(ending))

    def _copy(self, index: int, old: str, new: str) -> None:
        blob = self.sources[index].file(old)
        if blob is not None:
            same = old.upper() == new.upper()
            self.document.others[new.upper()] = blob if same else replace(blob, name=new.upper())
            mark = self.sources[index].digest(old)
            self._placed.setdefault((old.upper(), mark), new.upper())
            self._from.setdefault((old.upper(), mark), index)
            self._names.setdefault(mark, new.upper())

    def _header(self, index: int, name: str) -> None:
        new = self.numbers.file(index, name)
        header = self.sources[index].document.header(name)
        if header is None:
            self._copy(index, f"{name}.XML", f"{new}.XML")
        elif all(file.name.upper() != f"{new}.XML".upper() for file in self.document.xml_files):
            kept = header.name if new.upper() == name.upper() else f"{new}.XML".upper()
            self.document.xml_files.append(
                replace(header, name=kept, root=self._translated(index, header, kept), blob=None)
            )

    def _translated(self, index: int, header: XmlFile, name: str) -> Element:
        """Return a copy of the header of a log with the new identifiers."""
        root = Element(header.root.tag, file=name)
        stack = [(header.root, root)]
        while stack:
            old, new = stack.pop()
            new.attributes = {key: self.numbers.text(index, old, key) for key in old.attributes}
            for node in old.children:
                if isinstance(node, Element):
                    twin = Element(node.tag, file=name)
                    new.append(twin)
                    stack.append((node, twin))
                else:
                    new.append(node)
        return root

    def _strangers(self, source: RankedSource) -> None:
        """Put in the files that nothing refers to: what is equal once, what is not under another name."""
        for key in sorted(set(source.document.others) - _referred(source) - read_elsewhere(source, self.sources)):
            mark = (key.upper(), source.digest(key))
            holders = [item for item in self.sources if item.digest(key) == mark[1]]
            self.grown |= len(holders) < len(self.sources)
            if self._from.get(mark, source.index) != source.index:
                continue
            blob = source.document.others[key]
            new = self._unused(source.index, key)
            if new != key:
                told = phrase("file {name}", name=blob.name)
                self.journal.append(Decision(DecisionKind.RENAMED, None, told, KEPT_BOTH, new, (blob.name,)))
                blob = replace(blob, name=new)
            self.document.others[new] = blob
            self._placed[mark], self._from[mark] = new, source.index

    def _unused(self, index: int, key: str) -> str:
        """Return a name that no file of the result has: its own where that is free."""
        taken = {LINK_LIST, *self.document.others, *(file.name.upper() for file in self.document.xml_files)}
        return self.numbers.another_file(index, key) if key in taken else key


def _referred(source: RankedSource) -> set[str]:
    """Names of all files that a source refers to, in capitals."""
    naming = (item for tag in (*BINARY, "AFE") for item in source.document.by_tag.get(tag, ()))
    return {name.upper() for item in naming for name in file_names(item)}

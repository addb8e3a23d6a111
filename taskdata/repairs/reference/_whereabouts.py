"""Where the target of a reference that leads nowhere may be: in a missing file, or in one that nothing names."""

from __future__ import annotations

import re
from functools import cached_property

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.findings import Finding
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.files.folders import MAIN
from taskdata.isoxml.files.set_files import plain_name
from taskdata.isoxml.reading.xml_file import read_xml_file
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.filenames import FILE_SUFFIXES, LINK_LIST, file_names
from taskdata.raised_rules.file.cut_off import RULE as CUT_OFF

EXTERNAL, XML = "XFR", ".XML"


@dataclass(frozen=True)
class Unnamed:
    """An XML file of the set that nothing names, what is wrong with its bytes, and the identifiers in it."""

    file: XmlFile
    findings: tuple[Finding, ...]
    ids: frozenset[str]


class Whereabouts:
    """Where else elements of a set may lie.

    As long as a target may lie there, the reference to it is evidence of what is missing, and not to be dropped.
    """

    def __init__(self, document: Document) -> None:
        self._document = document

    def may_hold(self, target: str) -> bool:
        """Tell whether a file that could not be read may hold ``target``, or one that nothing names holds it."""
        return self.is_incomplete or any(target in item.ids for item in self.unnamed)

    @cached_property
    def is_incomplete(self) -> bool:
        """Whether a file is cut off, or an external file missing, unreadable or stated without a name."""
        read = {file.name.upper() for file in self._document.xml_files if file.role == "external"}
        stated = (file_names(item) for item in self._document.by_tag.get(EXTERNAL, ()))
        if any(item.rule.id == CUT_OFF.id for item in self._document.findings):
            return True
        return any(not names or names[0].upper() not in read for names in stated) or bool(self.unreadable)

    @cached_property
    def unnamed(self) -> tuple[Unnamed, ...]:
        """XML files that nothing names and that hold identified elements."""
        return self._unnamed[0]

    @property
    def unreadable(self) -> tuple[str, ...]:
        """Names, in capitals, of files that nothing names, that cannot be parsed and are named like external files."""
        return self._unnamed[1]

    @cached_property
    def _unnamed(self) -> tuple[tuple[Unnamed, ...], tuple[str, ...]]:
        """XML files that nothing names: those that hold elements, and names of unreadable ones."""
        document = self._document
        tagged = [item for tag in FILE_SUFFIXES for item in document.by_tag.get(tag, ())]
        named = {MAIN, LINK_LIST} | {name.upper() for item in tagged for name in file_names(item)}
        found, unreadable = [], []
        for name, blob in document.others.items():
            if name in named or not name.endswith(XML):
                continue
            try:
                file, findings = read_xml_file(blob, "external")
            except SourceError:
                unreadable += [name] if is_name(name) else []
                continue
            if ids := frozenset(item.id for item in file.root.walk() if item.id is not None):
                found.append(Unnamed(file, tuple(findings), ids))
        return tuple(found), tuple(unreadable)


def is_name(name: str) -> bool:
    """Tell whether a file may be named as an external file, by its name with extension in capitals."""
    pattern = elements()[EXTERNAL].attributes[letter(EXTERNAL, "Filename")].pattern
    return name.endswith(XML) and name == plain_name(name) and bool(re.fullmatch(pattern or ".+", name[: -len(XML)]))

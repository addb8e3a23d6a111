"""What is audited: a data set with its document, and the indexes that rules share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from functools import cached_property
from pathlib import Path

from taskdata.checks.profile import Profile
from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.isoxml.facts import AttributeFact, references
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import plain_name
from taskdata.isoxml.to_model.places import Places
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import FILE_SUFFIXES, file_name
from taskdata.model.dataset import Dataset
from taskdata.model.receiver import Receiver
from taskdata.model.tasks import Grid, Task
from taskdata.versions import facts_version


@dataclass(frozen=True, slots=True)
class Reference:
    """One attribute that refers to an element: where it stands, the fact behind it, its text as stored."""

    element: Element
    fact: AttributeFact
    text: str


@dataclass(frozen=True, slots=True)
class NamedFile:
    """One file that an element names: the element, the name it should have, the file found under it (or None)."""

    element: Element
    name: str
    found: Blob | None


@dataclass(eq=False)
class Subject:
    """One data set under audit.

    Parameters
    ----------
    document : Document or None
        The file set as stored; None for other formats. Without one every index below is empty.
    dataset : Dataset
        Its meaning.
    profile : Profile
        The tolerances to apply.
    receiver : Receiver or None
        The terminal that shall take it, where the user named one.
    remembered : dict
        What rules found in it together, see ``checks/_once.py``.
    """

    document: Document | None
    dataset: Dataset
    profile: Profile = field(default_factory=Profile)
    receiver: Receiver | None = None
    remembered: dict[object, object] = field(default_factory=dict, repr=False)

    @cached_property
    def major(self) -> int | None:
        """VersionMajor of the set; the drafts 0 and 1 count as 2; None where it is unknown."""
        version = self.document.version if self.document is not None else self.dataset.version
        return None if version is None else facts_version(version[0])

    @property
    def grids(self) -> tuple[tuple[Task, Grid], ...]:
        """Every grid that could be read, with its task."""
        return tuple((task, task.grid) for task in self.dataset.tasks if task.grid is not None)

    @property
    def xml_files(self) -> tuple[XmlFile, ...]:
        """Every XML file of the set that could be parsed, the main file first."""
        return () if self.document is None else tuple(self.document.xml_files)

    @property
    def link_list(self) -> XmlFile | None:
        """The link list, where the set has one that could be parsed."""
        return None if self.document is None else self.document.link_list

    def header(self, name: str) -> XmlFile | None:
        """Return the header of the time log with that base name, where it could be parsed."""
        return None if self.document is None else self.document.header(name)

    def tagged(self, tag: str) -> list[Element]:
        """Return the elements of ``tag`` in main and external files, in document order."""
        return [] if self.document is None else self.document.by_tag.get(tag, [])

    def top(self, tag: str) -> list[Element]:
        """Return the elements of ``tag`` directly under the roots of main and external files."""
        return [] if self.document is None else self.document.top(tag)

    @cached_property
    def ids(self) -> dict[str, list[Element]]:
        """Every identified element of main and external files by its identifier, in document order."""
        found: dict[str, list[Element]] = {}
        for element in self._walk():
            if element.id is not None:
                found.setdefault(element.id, []).append(element)
        return found

    @cached_property
    def references(self) -> tuple[Reference, ...]:
        """Every filled attribute that names another element, in main and external files."""
        known: dict[str, tuple[AttributeFact, ...]] = {}
        found: list[Reference] = []
        for element in self._walk():
            facts = known.get(element.tag)
            if facts is None:
                facts = known[element.tag] = tuple(references(element.tag))
            for fact in facts:
                if text := element.attributes.get(fact.letter):
                    found.append(Reference(element, fact, text))
        return tuple(found)

    @cached_property
    def misled(self) -> tuple[Reference, ...]:
        """Every reference whose identifier belongs to elements of another type than the one wanted."""
        return tuple(
            reference
            for reference in self.references
            if (targets := self.ids.get(reference.text)) and reference.fact.refers_to not in {i.tag for i in targets}
        )

    @cached_property
    def named_files(self) -> tuple[NamedFile, ...]:
        """Every file that the set names without a path, found or not."""
        return tuple(
            NamedFile(element, name + suffix, self.file(name + suffix))
            for tag, suffixes in FILE_SUFFIXES.items()
            for element in self.tagged(tag)
            if (name := file_name(element)) is not None and name == plain_name(name)
            for suffix in suffixes
        )

    def file(self, name: str) -> Blob | None:
        """Return the file of the set with that name, without regard to case; None if there is none."""
        return self._files.get(name.upper())

    @cached_property
    def _files(self) -> dict[str, Blob]:
        if self.document is None:
            return {}
        parsed = {file.name.upper(): file.blob for file in self.document.xml_files if file.blob is not None}
        return {**self.document.others, **parsed}

    def place(self, element: Element) -> Place:
        """Where an element of the document stands; fast for many elements, see ``Places``."""
        return element.place() if self._places is None else self._places.of(element)

    @cached_property
    def _places(self) -> Places | None:
        return None if self.document is None else Places()

    def _walk(self) -> Iterator[Element]:
        if self.document is not None:
            yield from self.document.walk()


def folder_of(subject: Subject) -> str:
    """Return the path of the folder or archive that holds the files of the set, or of the source itself."""
    document = subject.document
    if document is None or document.main.blob is None:
        return str(Path(subject.dataset.source))
    place = Path(document.source)
    return str(place.parent if place.suffix.upper() == ".XML" and not place.is_dir() else place)

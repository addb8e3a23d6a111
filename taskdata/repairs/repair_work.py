"""What a repair works on: a document of its own, the facts it needs, and the journal it writes to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cached_property

from taskdata.checks.registry import Check
from taskdata.checks.run import applies
from taskdata.checks.subject import Subject
from taskdata.findings import Fact, Finding
from taskdata.isoxml.facts import elements
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.to_model.places import Places
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.next_number import next_number
from taskdata.repairs.all_strings import AllStrings
from taskdata.results.cleaning import Change, Standing
from taskdata.versions import default_version, facts_version


class Seen:
    """A document as it stands, seen as a whole; of no use once something has changed.

    Parameters
    ----------
    document : Document
        What is repaired.
    subject : Subject, optional
        It, or one that is equal to it, as rules see it, where that was made before.
    """

    def __init__(self, document: Document, subject: Subject | None = None) -> None:
        self._document = document
        self._subject = subject

    @property
    def subject(self) -> Subject:
        """The document as rules see it."""
        if self._subject is None:
            self._subject = Subject(self._document, to_dataset(self._document))
        return self._subject

    @cached_property
    def strings(self) -> AllStrings:
        """Every line string of the document."""
        return AllStrings(self._document)


class RepairWork:
    """One repair at work.

    Attributes
    ----------
    document : Document
        Changed in place.
    changes : list of Change
        The journal so far.
    seen : Seen
        The document as it stands.
    """

    def __init__(self, document: Document, seen: Seen | None = None) -> None:
        self.document = document
        self.changes: list[Change] = []
        self.standing = Standing.SAFE
        self.seen = seen or Seen(document)
        self._places: Places | None = None
        self._renumbered: dict[str, str] = {}
        self._levels = 0

    @property
    def major(self) -> int:
        """Major version whose facts hold for the document; the drafts count as 2."""
        return facts_version((self.document.version or (default_version(),))[0])

    def tagged(self, tag: str) -> list[Element]:
        """Return the elements of ``tag`` in document order."""
        return list(self.document.by_tag.get(tag, ()))

    def note(self, rule: str, element: Element | None, before: Fact, after: Fact, reason: str) -> None:
        """Enter a change of an element, or of the set, into the journal."""
        if element is None:
            self.note_file(rule, None, before, after, reason)
            return
        if self._places is None:
            self._places = Places()
        place = self._places.of(element)
        change = Change(rule, self.standing, place.element, place.path, place.file, before, after, reason)
        self._enter(change)

    def note_file(self, rule: str, file: str | None, before: Fact, after: Fact, reason: str) -> None:
        """Enter a change of a file into the journal."""
        self._enter(Change(rule, self.standing, None, None, file, before, after, reason))

    def _enter(self, change: Change) -> None:
        self.changes.append(change)
        self.seen = Seen(self.document)

    def found(self, check: Check) -> list[tuple[Element, Finding]]:
        """Return what a rule finds in the document as it stands, each with its element."""
        findings = self.audit(check)
        if not findings:
            return []
        places = Places()
        tags = {(item.place.path or "").rpartition("/")[2].partition("[")[0] for item in findings}
        files = self.document.xml_files
        walked = (item for file in files for item in file.root.walk() if item.tag in tags)
        spots = {(place.file, place.path): item for item in walked if (place := places.of(item))}
        found = ((spots.get((item.place.file, item.place.path)), item) for item in findings)
        return [(element, finding) for element, finding in found if element is not None]

    def audit(self, check: Check) -> list[Finding]:
        """Return what a rule finds in the document as it stands, under the versions that it applies to."""
        subject = self.audited()
        return [finding for finding in check(subject) if applies(finding.rule, subject.major)]

    def audited(self) -> Subject:
        """Return the document as it stands as rules see it."""
        return self.seen.subject

    @property
    def strings(self) -> AllStrings:
        """Every line string of the document as it stands."""
        return self.seen.strings

    def touch(self) -> None:
        """Forget every index after elements came, went or were renumbered."""
        self.document.touch()
        self._places = None

    def moved_in(self, element: Element | None) -> None:
        """Forget where things below an element stand, after something came or went there."""
        if self._places is not None and element is not None:
            self._places.forget_below(element)

    def renumber(self, old: str, new: str) -> None:
        """Give every reference to ``old``, the link list's among them, the identifier ``new``."""
        with self.renumbering():
            self._renumbered[old] = new

    @contextmanager
    def renumbering(self) -> Iterator[None]:
        """Let references follow only at the end of the block, all in one walk through the document."""
        self._levels += 1
        try:
            yield
        finally:
            self._levels -= 1
        if not self._levels:
            renumbered, self._renumbered = self._renumbered, {}
            for element, letter in self.references() if renumbered else ():
                element.attributes[letter] = _last(renumbered, element.attributes[letter])

    def references(self) -> Iterator[tuple[Element, str]]:
        """Yield every filled reference to an element: where it stands and its letter."""
        for file in self.document.xml_files:
            for element in file.root.walk():
                yield from ((element, fact.letter) for fact, _ in element.references())

    def free_id(self, tag: str) -> str:
        """Return an identifier for an element of ``tag`` that nothing in the set has."""
        prefix = str(elements()[tag].id_prefix)
        return f"{prefix}{next_number(self.document.by_id, prefix)}"


def remove(element: Element) -> None:
    """Take an element out of its parent."""
    if element.parent is not None:
        element.parent.children.remove(element)


def _last(renumbered: Mapping[str, str], name: str) -> str:
    """Return what an identifier has become in the end, however often it was replaced."""
    seen = {name}
    while (after := renumbered.get(name, name)) not in seen:
        name = after
        seen.add(name)
    return name

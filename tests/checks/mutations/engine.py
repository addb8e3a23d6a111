"""Single faults put into sound sets: how one is made, audited, and judged found and placed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

from lxml import etree

from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.findings import Finding
from taskdata.isoxml.facts import elements
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.to_model.dataset import to_dataset
from tests import samples

Node = etree._Element
MAIN = "TASKDATA.XML"
SETS = {"office": samples.OFFICE, "machine": samples.MACHINE, "older": samples.OLDER}


@dataclass
class Spot:
    """Where a fault was put: the file, and the lines or the identifiers of the elements that it touches."""

    file: str
    lines: set[int] = field(default_factory=set)
    elements: set[str] = field(default_factory=set)
    whole: bool = False

    def holds(self, finding: Finding) -> bool:
        """Tell whether a finding stands here; a fault of a whole file has no line."""
        place = finding.place
        if (place.file or "").upper() != self.file.upper():
            return False
        return self.whole or place.line in self.lines or place.element in self.elements


class Files(dict[str, bytes]):
    """The files of a set, to be changed."""

    def edit(self, name: str, change: Callable[[Node], Iterable[Node]]) -> list[Spot]:
        """Change the tree of a file; ``change`` returns the elements that the fault touches."""
        root = etree.fromstring(self[name])
        touched = list(change(root))
        paths = [root.getroottree().getpath(item) for item in touched]
        self[name] = etree.tostring(root, xml_declaration=True, encoding="UTF-8")
        again = etree.fromstring(self[name])
        found = [item for path in paths for item in again.xpath(path)]
        owners = {owner for item in found if (owner := _owner(item)) is not None}
        return [Spot(name, {item.sourceline or 0 for item in found}, owners)]


@dataclass(frozen=True)
class Fault:
    """One fault: its kind for the table, a name, the set it is put into, the rules or families that must find it."""

    kind: str
    name: str
    source: str
    expected: tuple[str, ...]
    change: Callable[[Files], Iterable[Spot]]

    def __str__(self) -> str:
        return f"{self.kind}: {self.name} ({self.source})"


@dataclass(frozen=True)
class Verdict:
    """What became of a fault: whether an expected rule found it, whether at its place, and all that is new."""

    fault: Fault
    found: bool
    placed: bool
    news: tuple[str, ...]


def judge(fault: Fault) -> Verdict:
    """Put a fault into its set, audit it, and look at what is new."""
    files = Files(sound(fault.source))
    spots = list(fault.change(files))
    if files == sound(fault.source):
        raise AssertionError(f"{fault} changes nothing")
    before = {_key(item) for item in audit_of(fault.source)}
    news = [item for item in audit(files) if _key(item) not in before]
    meant = [item for item in news if _expected(item, fault.expected)]
    placed = any(spot.holds(item) for item in meant for spot in spots)
    told = tuple(
        sorted({f"{item.rule.id} @ {item.place.file}:{item.place.line} {item.place.element}" for item in news})
    )
    return Verdict(fault, bool(meant), placed, told)


@cache
def sound(name: str) -> dict[str, bytes]:
    """Return the files of a sound set; do not change them."""
    return {path.name: path.read_bytes() for path in sorted(Path(SETS[name]).iterdir())}


@cache
def audit_of(name: str) -> tuple[Finding, ...]:
    """Return what an audit of a sound set finds: a few notes."""
    return tuple(audit(sound(name)))


@cache
def tree(source: str, name: str) -> Node:
    """Return the tree of a file of a sound set; do not change it."""
    return etree.fromstring(sound(source)[name])


def audit(files: dict[str, bytes]) -> list[Finding]:
    """Audit a set held in memory."""
    blobs = tuple(Blob.of(name, content) for name, content in sorted(files.items()))
    document = document_of(FileSet("set", blobs, "TASKDATA"))
    return run(Subject(document, to_dataset(document)))


def in_tree(
    kind: str, name: str, source: str, expected: str, change: Callable[[Node], Iterable[Node]], *, file: str = MAIN
) -> Fault:
    """Return a fault in an XML file."""
    return Fault(kind, name, source, tuple(expected.split()), lambda files: files.edit(file, change))


def attribute(
    kind: str, source: str, expected: str, where: tuple[str, str], value: str | None, *, file: str = MAIN
) -> Fault:
    """Return a fault in an attribute, ``where`` = XPath and name: another value, None takes it out."""
    path, letter = where

    def change(root: Node) -> Iterator[Node]:
        item = root.xpath(path)[0]
        if value is None:
            del item.attrib[letter]
        else:
            item.set(letter, value)
        yield item

    told = "removed" if value is None else f"= {value[:40]!r}"
    return in_tree(kind, f"{path} {letter} {told}", source, expected, change, file=file)


def told_elsewhere(fault: Fault, file: str, where: str) -> Fault:
    """Return the fault, which is told at the elements at an XPath of its file, or in another file as a whole."""

    def put(files: Files) -> list[Spot]:
        spots = list(fault.change(files))
        if where in files:
            return [*spots, Spot(where, whole=True)]
        found = etree.fromstring(files[file]).xpath(where)
        owners = {owner for item in found if (owner := _owner(item)) is not None}
        return [*spots, Spot(file, {item.sourceline or 0 for item in found}, owners)]

    return replace(fault, change=put)


def _expected(finding: Finding, wanted: tuple[str, ...]) -> bool:
    return finding.rule.id in wanted or finding.rule.id.partition(".")[0] in wanted


def _key(finding: Finding) -> tuple[object, ...]:
    place = finding.place
    return finding.rule.id, place.file, place.element, place.path, place.record, tuple(finding.facts.items())


def _owner(item: Node) -> str | None:
    """Return the identifier of the nearest identified element at or above."""
    step: Node | None = item
    while step is not None:
        fact = elements().get(str(step.tag))
        if fact is not None and fact.id_letter and step.get(fact.id_letter):
            return step.get(fact.id_letter)
        step = step.getparent()
    return None

"""Small sets for tests of adaptation, and what is compared of two sets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from taskdata.adapt.clock import zone_of
from taskdata.adapt.versions import to_version
from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Severity
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, OtherNode, PointRun
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.ledger import Loss

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
Fact = tuple[tuple[str, ...], str, str, str]
_IN_EVERY_SET = {"the target is of that version", "the converter wrote the set last"}


def made(version: int, body: str, **files: bytes) -> Document:
    """Return a set of the office with this content; ``files`` by name without suffix are binary ones."""
    minor = {2: 0, 3: 3, 4: 3}[version]
    root = (
        f'<ISO11783_TaskData VersionMajor="{version}" VersionMinor="{minor}" DataTransferOrigin="1"'
        f' ManagementSoftwareManufacturer="Hof Ahrenbrook" ManagementSoftwareVersion="1">{body}</ISO11783_TaskData>'
    )
    blobs = [Blob.of("TASKDATA.XML", (HEAD + root).encode())]
    blobs += [Blob.of(f"{name}.BIN", content) for name, content in files.items()]
    return document_of(FileSet("made", tuple(blobs), "TASKDATA"))


def written(document: Document) -> Document:
    """Return the set as it reads after it was written."""
    blobs = [Blob.of(file.name, xml_bytes(file)) for file in document.xml_files]
    blobs += [Blob.of(blob.name, blob.read()) for blob in document.others.values()]
    return document_of(FileSet(document.source, tuple(sorted(blobs, key=lambda blob: blob.name)), "TASKDATA"))


def errors(document: Document) -> Counter[str]:
    """Return the errors that an audit finds, by rule.

    Not rings that are open by 0.0 m: one text of more than 15 digits can be read as two neighbouring floats, according
    to whether its point stands in a run, so that a ring whose first text is repeated to the letter counts as open.
    """
    grave = (item for item in findings(document) if item.severity is Severity.ERROR)
    return Counter(
        item.rule.id for item in grave if (item.rule.id, item.facts.get("size")) != ("geometry.open-ring", 0.0)
    )


def findings(document: Document) -> list[Finding]:
    return run(Subject(document, to_dataset(document)))


def facts(document: Document) -> Counter[Fact]:
    """Return everything that a set says: identifiers from the root down, tag, attribute, text."""
    found: Counter[Fact] = Counter()
    for file in document.xml_files:
        if file.role != "linklist":
            _collect(file.root, (), found)
    for name, blob in document.others.items():
        found[((), "file", name, blob.read().hex())] += 1
    return found


def _collect(element: Element, above: tuple[str, ...], found: Counter[Fact]) -> None:
    chain = above if element.id is None else (*above, element.id)
    for name, text in {"": "", **element.attributes}.items():
        found[(chain, element.tag, name, text)] += 1
    for child in element.children:
        if isinstance(child, Element):
            _collect(child, chain, found)
        elif isinstance(child, PointRun):
            for row in child.rows():
                for name, text in {"": "", **row}.items():
                    found[(chain, "PNT", name, text)] += 1
        elif isinstance(child, OtherNode):
            found[(chain, "stray", child.kind, child.text)] += 1


def unexplained(before: Document, after: Document, ledger: Iterable[Loss]) -> list[Fact]:
    """Return what one set says and the other does not, and no line of the ledger names.

    A line names an element, and with it all that stands in it; a line without one names the root and whole files.
    """
    one, other = facts(before), facts(after)
    named = {loss.element for loss in ledger}
    named |= {loss.what.rpartition(" becomes ")[2] for loss in ledger if loss.what.startswith("identifier ")}
    return [
        fact
        for fact in (*(one - other), *(other - one))
        if not (named & set(fact[0]) if fact[0] else None in named or _file_named(fact, ledger))
    ]


def _file_named(fact: Fact, ledger: Iterable[Loss]) -> bool:
    return fact[1] == "file" and any(fact[2].partition(".")[0] in loss.what for loss in ledger)


def whats(ledger: Iterable[Loss]) -> str:
    return "\n".join(f"{loss.element}: {loss.what}" for loss in ledger)


def adapted(before: Document, major: int, zone: str | None = None) -> tuple[Document, list[Loss]]:
    """Return a set as one of another version, and the ledger without what every set has in it."""
    result, ledger = to_version(before, major, zone=None if zone is None else zone_of(zone))
    after = written(result)
    assert not errors(after) - errors(before)
    assert len(set(ledger)) == len(ledger)
    return after, [loss for loss in ledger if loss.why not in _IN_EVERY_SET]


def told(ledger: Iterable[Loss]) -> list[tuple[str, str | None, str]]:
    """Return kind, element and words of each line of a ledger."""
    return [(str(loss.kind), loss.element, loss.what) for loss in ledger]

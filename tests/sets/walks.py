"""Independent walks over documents: what stands in them, numbers apart."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator

from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, PointRun

SKIPPED = {"ISO11783_TaskData", "XFC", "XFR", "TCC"}
FILES = {"TLG": "A", "GRD": "G", "PNT": "J"}


def folded(document: Document) -> Document:
    """Return the document with its external files put into the main file, where they are referred to."""
    parts = {file.name.upper(): file.root for file in document.xml_files if file.role == "external"}
    nodes = []
    for node in document.root.children:
        if isinstance(node, Element) and node.tag == "XFR" and f"{node.attributes['A']}.XML" in parts:
            nodes += parts.pop(f"{node.attributes['A']}.XML").children
        else:
            nodes.append(node)
    document.root.children = nodes
    document.xml_files = [file for file in document.xml_files if file.role != "external"]
    document.touch()
    return document


def references(element: Element) -> Iterator[tuple[str, str, str]]:
    """Yield letter, text and wanted tag of each reference of an element."""
    fact = elements().get(element.tag)
    for known in fact.attributes.values() if fact is not None else ():
        if known.type == "xs:IDREF" and element.attributes.get(known.letter):
            yield known.letter, element.attributes[known.letter], known.refers_to or ""


def plain(element: Element) -> tuple[object, ...]:
    """What an element says by itself: identifier, references and names of files left out, points by their texts."""
    fact = elements().get(element.tag)
    aside = {letter for letter, _, _ in references(element)} | {FILES.get(element.tag, "")}
    if fact is not None:
        aside.add(fact.id_letter or "")
    if element.tag == "AFE":
        aside |= {"A", "F"}
    points = [
        tuple(child.texts(name)) for child in element.children if isinstance(child, PointRun) for name in child.names
    ]
    words = tuple(sorted((name, text) for name, text in element.attributes.items() if name not in aside))
    return element.tag, words, tuple(points)


def signed(document: Document, element: Element) -> tuple[object, ...]:
    """What an element says, with what the things it refers to say, who owns it, and the bytes of its file."""
    owner = element.parent
    targets = [
        (letter, plain(document.by_id[text]) if text in document.by_id else None)
        for letter, text, _ in references(element)
    ]
    above = plain(owner) if owner is not None and owner.tag not in SKIPPED else ()
    return (*plain(element), tuple(targets), above, _bytes(document, element))


def everything(document: Document) -> Counter[tuple[object, ...]]:
    """Return how often each thing is said."""
    return Counter(signed(document, item) for item in document.walk() if item.tag not in SKIPPED)


def unsaid(source: Document, result: Document, new: dict[str, str], disputed: set[str | None]) -> Iterator[Element]:
    """Yield each element of a source for which the result has none that says at least the same.

    Parameters
    ----------
    new : dict of str to str
        Identifiers and file names that changed.
    disputed : set of str or None
        Identifiers, in the result, of things that it says otherwise, and that is known.
    """
    for item in source.walk():
        if item.tag in SKIPPED or any(above.tag in {"TCC", "XFR"} for above in _upwards(item)):
            continue
        owners = {new.get(above.id, above.id) for above in _upwards(item) if above.id is not None} or {None}
        if owners & disputed:
            continue
        owner = item.nearest_id()
        home = result.root if owner is None else result.by_id.get(new.get(owner, owner))
        wanted = _renamed(item, new)
        runs = plain(item)[2]
        if home is None or not any(_holds(twin, item.tag, wanted, runs) for twin in home.walk()):
            yield item


def _upwards(element: Element) -> Iterator[Element]:
    node: Element | None = element
    while node is not None:
        yield node
        node = node.parent


def _renamed(element: Element, new: dict[str, str]) -> set[tuple[str, str]]:
    """The attributes of an element as they must stand in the result."""
    fact = elements().get(element.tag)
    letters = {letter for letter, _, _ in references(element)} | {FILES.get(element.tag, "")}
    letters |= {"A"} if element.tag == "AFE" else {(fact.id_letter if fact is not None else None) or ""}
    return {
        (name, new.get(text, text) if name in letters else text) for name, text in element.attributes.items() if text
    }


def _holds(twin: Element, tag: str, wanted: set[tuple[str, str]], runs: object) -> bool:
    return twin.tag == tag and wanted <= set(twin.attributes.items()) and plain(twin)[2] == runs


def _bytes(document: Document, element: Element) -> str | None:
    if element.tag == "AFE":
        name = element.attributes["A"].upper()
    elif element.tag in FILES and FILES[element.tag] in element.attributes:
        name = f"{element.attributes[FILES[element.tag]]}.BIN".upper()
    else:
        return None
    blob = document.others.get(name)
    return None if blob is None else hashlib.sha256(blob.read()).hexdigest()

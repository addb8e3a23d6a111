"""Faults in the tree of elements and in identifiers: repeated, reserved, out of place, unknown, stray text."""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from taskdata.isoxml.facts import elements
from tests.checks.mutations.engine import MAIN, SETS, Fault, Node, in_tree, tree

NOT_HERE = (
    ("CTR", "FRM"),
    ("TZN", "PFD"),
    ("DET", "TSK"),
    ("GPN", "PFD"),
    ("LSG", "TSK"),
    ("DOR", "DVC"),
    ("CVT", "PGP"),
)
NEEDED = (
    ("PLN", "LSG"),
    ("GPN", "LSG"),
    ("LSG", "PNT"),
    ("GGP", "GPN"),
    ("DVC", "DET"),
    ("CCT", "CCL"),
    ("GAN", "ASP"),
)


def faults() -> Iterator[Fault]:
    """Yield the faults."""
    yield from _identifiers()
    for source in SETS:
        yield from _foreign(source)
    for tag, parent in NOT_HERE:
        yield in_tree("element misplaced", f"{tag} in {parent}", "office", "schema", _moved(tag, parent))
    for parent, child in NEEDED:
        if any(item.tag == child and item.least for item in elements()[parent].children):
            yield in_tree("element removed", f"{child} of {parent}", "office", "schema model", _emptied(parent, child))


def _identifiers() -> Iterator[Fault]:
    seen: set[str] = set()
    for source in SETS:
        for tag in sorted({str(item.tag) for item in tree(source, MAIN).iter()} & set(elements())):
            letter = elements()[tag].id_letter
            found = [] if letter is None else tree(source, MAIN).xpath(f"//{tag}[@{letter}]")
            if letter is None or tag in seen or not found:
                continue
            seen.add(tag)
            if len(found) > 1:
                again = found[0].get(letter)
                yield _named("identifier repeated", source, (tag, len(found)), again, "identity")
            yield _named("identifier with leading zeros", source, (tag, 1), f"{tag}007", "identity.leading-zero")
            yield _named("identifier reserved", source, (tag, 1), f"{tag}0", "identity.reserved-number")
            yield _named("identifier of another tag", source, (tag, 1), "XYZ1", "schema identity")


def _named(kind: str, source: str, which: tuple[str, int], value: str, expected: str) -> Fault:
    """Return a fault in an identifier, ``which`` = tag and number of the element among those with one, from 1."""
    tag, number = which
    letter = str(elements()[tag].id_letter)

    def change(root: Node) -> Iterator[Node]:
        item = root.xpath(f"(//{tag}[@{letter}])[{number}]")[0]
        item.set(letter, value)
        yield item

    return in_tree(kind, f"{tag} {letter} = {value}", source, expected, change)


def _foreign(source: str) -> Iterator[Fault]:
    for tag in ("PFD", "TSK", "DVC"):

        def text(root: Node, tag: str = tag) -> Iterator[Node]:
            item = root.find(f".//{tag}")
            item.text = "Bemerkung"
            yield item

        def name(root: Node, tag: str = tag) -> Iterator[Node]:
            item = root.find(f".//{tag}")
            item.set("Name", "x")
            yield item

        def element(root: Node, tag: str = tag) -> Iterator[Node]:
            item = etree.SubElement(root.find(f".//{tag}"), "Extra")
            yield item

        yield in_tree("text in an element", tag, source, "schema.text-content", text)
        yield in_tree("unknown attribute", tag, source, "schema.unknown-name", name)
        yield in_tree("unknown element", f"in {tag}", source, "schema.unknown-name", element)


def _moved(tag: str, parent: str):  # type: ignore[no-untyped-def]
    def change(root: Node) -> Iterator[Node]:
        item = root.find(f".//{tag}")
        root.find(f".//{parent}").append(item)
        yield item

    return change


def _emptied(parent: str, child: str):  # type: ignore[no-untyped-def]
    def change(root: Node) -> Iterator[Node]:
        item = root.find(f".//{parent}")
        for one in item.findall(child):
            item.remove(one)
        yield item

    return change

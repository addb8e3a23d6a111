"""Build elements by the standard's names and write them the same way every time."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

from taskdata.isoxml import facts

Element = ElementTree.Element
DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'


def el(tag: str, *children: Element | None, **values: object) -> Element:
    """Return the element ``tag``; ``values`` are keyed by attribute name, None is left out.

    Raises
    ------
    KeyError
        The standard has no such element or attribute.
    """
    letters = {facts.letter(tag, name): value for name, value in values.items() if value is not None}
    order = list(facts.elements()[tag].attributes)
    node = Element(tag, {letter: str(letters[letter]) for letter in sorted(letters, key=order.index)})
    node.extend(child for child in children if child is not None)
    return node


def value(node: Element, name: str) -> str | None:
    """Return the attribute called ``name`` of ``node``."""
    return node.get(facts.letter(node.tag, name))


def change(node: Element, **values: object) -> None:
    """Set attributes of ``node`` by name; None takes one away."""
    for name, item in values.items():
        letter = facts.letter(node.tag, name)
        if item is None:
            node.attrib.pop(letter, None)
        else:
            node.set(letter, str(item))


def text(node: Element, indent: str | None = "  ") -> str:
    """Return ``node`` as a document; ``indent`` None puts everything on one line."""
    if indent is not None:
        ElementTree.indent(node, indent)
    return DECLARATION + ElementTree.tostring(node, encoding="unicode") + "\n"


def write(path: Path, node: Element, indent: str | None = "  ") -> int:
    """Write ``node`` as a document and return its size in bytes."""
    data = text(node, indent).encode()
    path.write_bytes(data)
    return len(data)

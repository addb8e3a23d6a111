"""Walk through a file from start to end tags, knowing at each where it is and what it is called.

The walk keeps a short record of the elements that are open, never a tree, and leaves out what a standard schema knows
nothing of: proprietary elements, other namespaces, and whatever they hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from functools import cache
from typing import Any

from lxml import etree

from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.isoxml.facts import elements
from taskdata.isoxml.schema.xml_bytes import PROPRIETARY, XmlBytes


@dataclass(slots=True, eq=False)
class Open:
    """An element whose start was seen.

    Parameters
    ----------
    tag : str
        Name without the namespace of the root.
    parent : Open or None
        The element it stands in; None = the root.
    number : int
        Which of its siblings of the same tag it is, from 1.
    order : int
        Which element of the file it is, from 0.
    line : int
    identity : str or None
        Its identifier, or that of the nearest element above that has one.
    counts : dict
        How many children of each tag it has had so far.
    kept : list of Open
        Its children that have ended and still hang in the tree.
    passed_over : bool
        Whether to leave its attributes and content alone.
    """

    tag: str
    parent: Open | None
    number: int
    order: int
    line: int
    identity: str | None
    counts: dict[str, int] = field(default_factory=dict)
    kept: list[Open] = field(default_factory=list)
    passed_over: bool = False

    def place(self, file: str) -> Place:
        """Return where the element is, with the position in the path counted among siblings of the same tag."""
        steps: list[str] = []
        step: Open | None = self
        while step is not None:
            steps.append(f"{step.tag}[{step.number}]" if step.parent else step.tag)
            step = step.parent
        return Place(file=file, line=self.line, element=self.identity, path="/" + "/".join(reversed(steps)))


class Walk:
    """The walk through one file.

    Parameters
    ----------
    source : XmlBytes
        The bytes of the file.

    Attributes
    ----------
    namespace : str
        The namespace of the root with a brace before it; empty = none. Elements in it count as elements of the
        standard, since the namespace is a matter of another rule.
    """

    def __init__(self, source: XmlBytes) -> None:
        self._source = source
        self.namespace = ""
        self._names: dict[str, str | None] = {}

    def steps(self) -> Iterator[tuple[bool, etree._Element, Open]]:
        """Yield (True, element, record) at each start and (False, element, record) at each end.

        A record that the caller marks as passed over at its start has no steps for its content.

        Raises
        ------
        lxml.etree.XMLSyntaxError
            The file is not well formed.
        """
        stack: list[Open] = []
        left_out, order = 0, 0
        for event, element in self._source.events("start", "end"):
            if event == "end":
                if left_out:
                    left_out -= 1
                else:
                    yield False, element, stack.pop()
                continue
            tag = None if left_out else self.standard_name(element.tag, first=not order)
            if tag is None or (stack and stack[-1].passed_over):
                left_out += 1
                continue
            record = self._opened(element, tag, stack[-1] if stack else None, order)
            order += 1
            stack.append(record)
            yield True, element, record

    def _opened(self, element: etree._Element, tag: str, parent: Open | None, order: int) -> Open:
        number, identity = 1, None
        if parent is not None:
            number = parent.counts[tag] = parent.counts.get(tag, 0) + 1
            identity = parent.identity
        letter = _id_letters().get(tag)
        if letter is not None:
            identity = element.get(letter) or identity
        line: Any = element.sourceline
        return Open(tag, parent, number, order, line or 0, identity)

    def standard_name(self, tag: object, *, first: bool = False) -> str | None:
        """Return the name of an element of the standard (or of one that means to be).

        None for proprietary elements, other namespaces, comments and the like.
        """
        if not isinstance(tag, str):
            return None
        if first:
            self.namespace = tag.rpartition("}")[0]
        elif tag in self._names:
            return self._names[tag]
        namespace, _, name = tag.rpartition("}")
        foreign = namespace != self.namespace or ":" in name or (not first and PROPRIETARY.match(name))
        found = self._names[tag] = None if foreign else name
        return found


@cache
def _id_letters() -> dict[str, str]:
    return {tag: fact.id_letter for tag, fact in elements().items() if fact.id_letter}

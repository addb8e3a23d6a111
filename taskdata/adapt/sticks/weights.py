"""What each thing of a set counts against the limits of a terminal that hold for a set as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from taskdata.adapt.parts.belonging import Belonging
from taskdata.amounts import counted
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.model.receiver import Receiver

COUNTED = {
    "limits.fields": ("field", "fields"),
    "limits.guidance_lines": ("guidance line", "guidance lines"),
    "limits.tasks": ("task", "tasks"),
    "limits.main_file_bytes": ("byte in the main file", "bytes in the main file"),
}
"""Entries of a profile that splitting can satisfy, with what they count: one of it, and several."""

Weight = tuple[int, ...]
NOTHING: Weight = (0,) * len(COUNTED)


class Weights:
    """Weights of things, one number for each entry of ``COUNTED``.

    Parameters
    ----------
    belonging : Belonging
        The set.
    receiver : Receiver
        Whose limits count.

    Attributes
    ----------
    base : tuple of int
        What a set without any thing counts.
    """

    def __init__(self, belonging: Belonging, receiver: Receiver) -> None:
        self._limits = [receiver.get(entry) for entry in COUNTED]
        main = belonging.document.main
        bare = Element(main.root.tag, main.root.attributes)
        bare.children = [node for node in main.root.children if not isinstance(node, Element)]
        self.base: Weight = (0, 0, 0, len(xml_bytes(replace(main, root=bare))) + (not bare.children) * _frame(main))
        counts = _counted(belonging)
        self._of = {
            thing: (*(count[thing] for count in counts), _size(main, thing) if belonging.is_in_main(thing) else 0)
            for thing in belonging.things
        }

    def of(self, things: Iterable[Element]) -> Weight:
        """Return the sum of the weights of things."""
        return added(NOTHING, *(self._of[thing] for thing in things))

    def lines_in(self, thing: Element) -> int:
        """Return how many guidance lines a thing holds."""
        return self._of[thing][list(COUNTED).index("limits.guidance_lines")]

    def fits(self, weight: Weight) -> bool:
        """Tell whether a set of this weight is within the limits."""
        return all(limit is None or count <= limit for count, limit in zip(weight, self._limits, strict=True))


def excess(receiver: Receiver, weight: Weight) -> list[str]:
    """Say what of a weight is beyond which limit."""
    return [
        f"{counted(count, one, many)} where it accepts {limit}"
        for (entry, (one, many)), count in zip(COUNTED.items(), weight, strict=True)
        if (limit := receiver.get(entry)) is not None and count > limit
    ]


def _size(main: XmlFile, thing: Element) -> int:
    """Return the bytes that a thing takes in the main file."""
    alone = Element(main.root.tag)
    empty = len(xml_bytes(replace(main, root=alone, before=[], after=[])))
    alone.children = [thing]
    return len(xml_bytes(replace(main, root=alone, before=[], after=[]))) - empty - _frame(main)


def _frame(main: XmlFile) -> int:
    """Return how many bytes more the root takes where it is not empty: an end tag on a line of its own."""
    return len(f">\n</{main.root.tag}>") - len(" />" if main.spaced else "/>")


def added(*weights: Weight) -> Weight:
    """Return the sum of weights."""
    return tuple(map(sum, zip(*weights, strict=True)))


def weight_of(document: Document) -> Weight:
    """Return what a whole set counts."""
    data = to_dataset(document)
    return len(data.fields), len(data.guidance), len(data.tasks), len(xml_bytes(document.main))


def _counted(belonging: Belonging) -> tuple[Counter[Element | None], ...]:
    """Return how many fields, guidance lines and tasks each thing holds, as the model counts them."""
    data = to_dataset(belonging.document)
    elements = {key: element for element, key in belonging.document.keys.items()}
    kinds = (data.fields, data.guidance, data.tasks)
    found = []
    for records in kinds:
        owners = (elements.get(record.key) if record.key is not None else None for record in records)
        found.append(Counter(None if owner is None else belonging.owner_of(owner) for owner in owners))
    return tuple(found)

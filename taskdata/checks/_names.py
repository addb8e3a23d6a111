"""Names in XML files that are not the standard's: proprietary ones and those of namespaces, found in one pass."""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.isoxml.tree.element import Element

PROPRIETARY = re.compile(r"P[0-9]+_")
NAMESPACE = "xmlns"


@dataclass(frozen=True, slots=True)
class OddName:
    """An element (``attribute`` None) or attribute whose name is proprietary or belongs to a namespace."""

    element: Element
    attribute: str | None

    @property
    def name(self) -> str:
        """The name as written."""
        return self.element.tag if self.attribute is None else self.attribute

    @property
    def is_proprietary(self) -> bool:
        """Whether the name begins with P, the number of a manufacturer and an underscore."""
        return PROPRIETARY.match(self.name) is not None


@once
def odd_names(subject: Subject) -> tuple[OddName, ...]:
    """Return every odd name in the XML files of a set, file by file, in document order; found once for each subject."""
    return tuple(_all(subject))


def _all(subject: Subject) -> Iterator[OddName]:
    for file in subject.xml_files:
        for element in file.root.walk():
            if ":" in element.tag or PROPRIETARY.match(element.tag):
                yield OddName(element, None)
            for name in element.attributes:
                if len(name) > 1 and (":" in name or name == NAMESPACE or PROPRIETARY.match(name)):
                    yield OddName(element, name)

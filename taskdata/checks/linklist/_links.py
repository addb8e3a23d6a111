"""The groups and links of a link list, for all rules on it."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element

UUID = "UUID"
PROPRIETARY = "ManufacturerProprietary"
RESOLVABLE = "UniqueResolvableURI"
INFORMATIONAL = "InformationalResolvableURI"


@dataclass(frozen=True, slots=True)
class Link:
    """One link with a value: its element, its object (None = not given), and the value."""

    element: Element
    target: str | None
    value: str


def groups(subject: Subject, *kinds: str) -> Iterator[Element]:
    """Yield the groups (LGP) of the link list, all or those whose type has one of these names."""
    if subject.link_list is not None:
        for group in subject.link_list.root.elements("LGP"):
            if not kinds or kind(group) in kinds:
                yield group


def kind(group: Element) -> str | None:
    """Return the name of the type of a group, None where it has none or an unknown one."""
    values = elements()["LGP"].attributes[letter("LGP", "LinkGroupType")].values
    text = group.get("LinkGroupType")
    return next((value.name for value in values if str(value.low) == text), None)


def links(group: Element) -> Iterator[Link]:
    """Yield the links of a group that have a value."""
    for element in group.elements("LNK"):
        value = element.get("LinkValue")
        if value is not None:
            yield Link(element, element.get("ObjectIdRef"), value)

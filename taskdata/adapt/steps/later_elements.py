"""Elements that came with version 4 and stand for themselves are left out."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase


def drop_later_elements(work: Adaptation) -> None:
    """Leave out capabilities (R-235), the history and plan of peer control (R-236) and base stations (R-238)."""
    for element in work.tagged("TCC", "CAT", "BSN"):
        work.drop(element, _told(element))
        work.remove(element)


def _told(element: Element) -> str:
    if element.tag == "CAT":
        source, user, value = (element.get(name) for name in ("SourceClientNAME", "UserClientNAME", "ProcessDataDDI"))
        return phrase("peer control of {user} by {source}, value {value}", user=user, source=source, value=value)
    return label(element)

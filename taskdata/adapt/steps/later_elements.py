"""Elements that came with version 4 and stand for themselves are left out."""

from __future__ import annotations

from taskdata.adapt.work import Work

_TOLD = {
    "TCC": "capabilities of the task controller",
    "CAT": "assignment of peer control",
    "BSN": "base station",
}


def drop_later_elements(work: Work) -> None:
    """Leave out capabilities (R-235), the history and plan of peer control (R-236) and base stations (R-238)."""
    for element in work.tagged(*_TOLD):
        work.drop(element, _TOLD[element.tag])
        work.remove(element)

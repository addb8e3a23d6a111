"""Take out a second link that gives an object the UUID which it has already.

Why it is safe: both links say the same. Where they differ, which one others know cannot be told, and both are left.
"""

from __future__ import annotations

from taskdata.checks.linklist._links import UUID, kind
from taskdata.checks.linklist.second_uuid import check
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.merging import remove_link
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("linklist.second-uuid",)
STANDING = Standing.SAFE
NEEDS = ("linklist.wrong-uuid", "linklist.urn-cut-wrong")


def repair(work: RepairWork) -> None:
    """Take out each such link, unless it says more than the first."""
    for element, finding in work.found(check):
        links = work.document.link_list
        found = [] if links is None else [item for item in links.root.walk() if item.tag == "LNK" and _is_uuid(item)]
        first = next((item for item in found if item.get("ObjectIdRef") == finding.facts["target"]), None)
        if (
            first is not None
            and first is not element
            and _value(first) == _value(element)
            and _adds_nothing(first, element)
        ):
            work.note(
                RULES[0], element, element.get("LinkValue"), None, phrase("the same link already comes before it")
            )
            remove_link(element)
            work.touch()


def _is_uuid(link: Element) -> bool:
    group = link.parent
    return group is not None and kind(group) == UUID and group.get("ManufacturerGLN") is None


def _value(link: Element) -> str:
    return (link.get("LinkValue") or "").strip().strip("{}").lower()


def _adds_nothing(first: Element, second: Element) -> bool:
    """Tell whether the first of two links has the description of the second."""
    return second.get("LinkDesignator") in {None, first.get("LinkDesignator")}

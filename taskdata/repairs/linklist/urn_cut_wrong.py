"""Split URNs between group and link after the last colon of the namespace.

Why it is safe: group and link together say what they said before. Groups whose links would need different namespaces,
or that hold others than URNs, are left.
"""

from __future__ import annotations

from taskdata.checks.linklist.urn_cut_wrong import check
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("linklist.urn-cut-wrong",)
STANDING = Standing.SAFE
NEEDS = ("linklist.unwanted-namespace",)


def repair(work: RepairWork) -> None:
    """Split the links of each such group anew."""
    done: set[int] = set()
    for element, _ in work.found(check):
        group = element.parent
        if group is not None and id(group) not in done:
            done.add(id(group))
            _split(work, group)


def _split(work: RepairWork, group: Element) -> None:
    before = group.get("LinkGroupNamespace") or ""
    links = [link for link in group.elements("LNK") if link.get("LinkValue")]
    whole = [f"{before}{link.get('LinkValue')}" for link in links]
    spaces = {text[: text.rindex(":") + 1] if text.count(":") > 1 else "" for text in whole}
    space = spaces.pop()
    if spaces or not space.lower().startswith("urn:") or any(text == space for text in whole):
        return
    work.note(
        RULES[0],
        group,
        before or None,
        space,
        phrase("the namespace ends with its last colon; the links hold the rest"),
    )
    group.set("LinkGroupNamespace", space)
    for link, text in zip(links, whole, strict=True):
        link.set("LinkValue", text.removeprefix(space))

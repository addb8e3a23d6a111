"""Write numbers, DDIs, names of files and time stamps in the notation of the standard.

Why it is safe: only values are touched that can mean one thing. A number stays the same number to its last digit; a
scale with too many decimals is rounded where it changes by less than a millionth, a second to its thousandth.
"""

from __future__ import annotations

from taskdata.amounts import counted
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.isoxml.tree.notation import Meant, meant
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("schema.other-notation",)
STANDING = Standing.SAFE
NEEDS = ("file.misread-letters", "file.not-utf-8")


def repair(work: RepairWork) -> None:
    """Rewrite each value that the standard would write otherwise."""
    for file in work.document.xml_files:
        for element in file.root.walk():
            for letter, text in element.attributes.items():
                other = meant(element.tag, letter, text)
                if other is not None:
                    work.note(
                        RULES[0],
                        element,
                        text,
                        other.text,
                        phrase("it was written with {notation}", notation=other.notation),
                    )
                    element.attributes[letter] = other.text
            for position, child in enumerate(element.children):
                if isinstance(child, PointRun):
                    element.children[position] = _rewritten(work, element, child)


def _rewritten(work: RepairWork, owner: Element, run: PointRun) -> PointRun:
    """Return a run of points in the notation of the standard, the same one where nothing changes."""
    if not any(column.odd for column in run.store.columns):
        return run
    texts = {name: run.texts(name) for name in run.names}
    changed = False
    for name, values in texts.items():
        found: dict[int, Meant] = {at: other for at, text in enumerate(values) if (other := meant(POINT, name, text))}
        if not found:
            continue
        start = min(found)
        reason = phrase(
            "it was written with {notation} ({count})",
            notation=found[start].notation,
            count=counted(len(found), "value"),
        )
        work.note(RULES[0], owner, values[start], found[start].text, reason)
        for at, other in found.items():
            values[at] = other.text
        changed = True
    if not changed:
        return run
    fresh = PointRun.of(texts)
    fresh.store.lines = run.store.lines[run.start : run.stop]
    return fresh

"""Points lose their identifiers and accuracies, and types that came later."""

from __future__ import annotations

from collections import Counter

from taskdata.adapt.adaptation import Adaptation, spaced
from taskdata.adapt.points import TYPE, is_point, put_types, types, without
from taskdata.amounts import counted
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.model.shapes import PointKind

_OBSTACLE = str(int(PointKind.OBSTACLE))


def simplify_points(work: Adaptation) -> None:
    """Write points of the types 3 to 11 as type 2; drop their identifiers and accuracies (R-245)."""
    facts = elements()[POINT].attributes
    later = [fact.letter for fact in facts.values() if not fact.holds(work.target)]
    strange = {str(item.low): spaced(item.name) for item in facts[TYPE].values if not item.holds(work.target)}
    for parent in list(work.document.walk()):
        if any(is_point(child) for child in parent.children):
            _retype(work, parent, strange)
            for at, child in enumerate(parent.children):
                if isinstance(child, PointRun):
                    parent.children[at] = _run(work, parent, child, later)
                elif isinstance(child, Element) and child.tag == POINT:
                    for name in [facts[key].name for key in later if key in child.attributes]:
                        work.drop_attribute(child, name)


def _retype(work: Adaptation, parent: Element, strange: dict[str, str]) -> None:
    written = types(parent)
    counts = Counter(code for code in written if code in strange)
    if not counts:
        return
    other = str(int(PointKind.OTHER))
    put_types(parent, [other if code in counts else code for code in written])
    for code, count in counts.items():
        verb = "becomes" if count == 1 else "become"
        what = f"{counted(count, 'point')} of type {code} ({strange[code]}) {verb} type {other} (other)"
        unseen = "; a display may no longer warn of it" if code == _OBSTACLE else ""
        work.alter(parent, what, f"version {work.target} has no such type{unseen}")


def _run(work: Adaptation, parent: Element, run: PointRun, later: list[str]) -> PointRun:
    gone = [key for key in later if key in run.names]
    if not gone:
        return run
    names = ", ".join(spaced(elements()[POINT].attributes[key].name) for key in gone)
    work.drop(parent, f"{names} of {counted(len(run), 'point')}")
    return without(run, gone)

"""Points lose their identifiers and accuracies, and types that came later."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from taskdata.adapt.adaptation import Adaptation, spaced
from taskdata.adapt.points import TYPE, is_point, put_types, types, without
from taskdata.amounts import counted
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.model.shapes import PointKind
from taskdata.phrases import phrase

_OBSTACLE = str(int(PointKind.OBSTACLE))


def simplify_points(work: Adaptation) -> None:
    """Write points of the types 3 to 11 as type 2; drop their identifiers and accuracies (R-245)."""
    facts = elements()[POINT].attributes
    later = [fact.letter for fact in facts.values() if not fact.holds(work.target)]
    strange = {str(item.low): phrase(spaced(item.name)) for item in facts[TYPE].values if not item.holds(work.target)}
    for parent in list(work.document.walk()):
        if any(is_point(child) for child in parent.children):
            _retype(work, parent, strange)
            for at, child in enumerate(parent.children):
                if isinstance(child, PointRun):
                    parent.children[at] = _run(work, parent, child, later)
                elif isinstance(child, Element) and child.tag == POINT:
                    for name in [facts[key].name for key in later if key in child.attributes]:
                        work.drop_attribute(child, name)


def _retype(work: Adaptation, parent: Element, strange: Mapping[str, str]) -> None:
    written = types(parent)
    counts = Counter(code for code in written if code in strange)
    if not counts:
        return
    other = str(int(PointKind.OTHER))
    put_types(parent, [other if code in counts else code for code in written])
    for code, count in counts.items():
        facts = {"count": counted(count, "point"), "code": code, "kind": strange[code], "other": other}
        if count == 1:
            what = phrase("{count} of type {code} ({kind}) becomes type {other} (other)", **facts)
        else:
            what = phrase("{count} of type {code} ({kind}) become type {other} (other)", **facts)
        why = phrase("version {target} has no such type", target=work.target)
        if code == _OBSTACLE:
            why = phrase("{reason}; a display may no longer warn of it", reason=why)
        work.alter(parent, what, why)


def _run(work: Adaptation, parent: Element, run: PointRun, later: list[str]) -> PointRun:
    gone = [key for key in later if key in run.names]
    if not gone:
        return run
    names = [phrase(spaced(elements()[POINT].attributes[key].name)) for key in gone]
    work.drop(parent, phrase("{names} of {count}", names=names, count=counted(len(run), "point")))
    return without(run, gone)

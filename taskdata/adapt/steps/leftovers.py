"""Whatever else a version does not have is left out."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.isoxml.facts import ROOT, elements


def drop_leftovers(work: Adaptation) -> None:
    """Leave out every element and attribute that the version does not have and no step before dealt with (R-020)."""
    for element in list(work.document.walk()):
        fact = elements().get(element.tag)
        if fact is None:
            continue
        if not fact.holds(work.target):
            work.drop(element, label(element))
            work.remove(element)
            continue
        later = [item for item in fact.attributes.values() if not item.holds(work.target) and element.tag != ROOT]
        for item in later:
            work.drop_attribute(element, item.name)

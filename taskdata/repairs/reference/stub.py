"""Recreate what a reference has to name and the set has lost, with its identifier for a name and nothing else.

Why it needs a look: only a person knows what it was; the stub keeps apart what belonged together. A lost product is
always recreated: a rate that has lost its product may be applied with another one. Nothing is recreated that may lie in
an external file which is missing or unreadable, or in an unused file of the set.
"""

from __future__ import annotations

import re

from taskdata.isoxml.facts import ROOT, AttributeFact, elements
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.reference._whereabouts import Whereabouts
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("reference.dangling",)
STANDING = Standing.REVIEW
NEEDS = ("reference.unnamed_file",)

NAMES = ("Designator", "LastName")
PRODUCT = "PDT"


def repair(work: RepairWork) -> None:
    """Add a stub to the main file for each target that the standard demands and a name can stand for."""
    elsewhere = Whereabouts(work.document)
    for element in work.document.walk():
        fact = elements().get(element.tag)
        for attribute in fact.attributes.values() if fact is not None else ():
            target = element.attributes.get(attribute.letter)
            demanded = attribute.required or attribute.refers_to == PRODUCT
            if attribute.type != "xs:IDREF" or not demanded or not target:
                continue
            lost = target not in work.document.by_id and re.fullmatch(attribute.pattern or ".+", target)
            if lost and not elsewhere.may_hold(target):
                _add(work, element, attribute, target)


def _add(work: RepairWork, element: Element, attribute: AttributeFact, target: str) -> None:
    tag = attribute.refers_to or ""
    wanted = elements().get(tag)
    if wanted is None or wanted.id_letter is None or not target.startswith(str(wanted.id_prefix)):
        return
    demanded = [item for item in wanted.attributes.values() if item.required and item.letter != wanted.id_letter]
    if not all(item.name.endswith(NAMES) for item in demanded) or tag not in _top_tags():
        return
    stub = Element(tag, {wanted.id_letter: target}, file=work.document.main.name)
    for item in demanded:
        stub.attributes[item.letter] = target
    work.note(
        RULES[0],
        element,
        None,
        target,
        phrase("{name} has to refer to it; recreated with its identifier as its name", name=attribute.name),
    )
    work.document.root.append(stub)
    work.touch()


def _top_tags() -> set[str]:
    return {child.tag for child in elements()[ROOT].children}

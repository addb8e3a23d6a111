"""Drop references that lead nowhere, where the standard does not demand them.

Why it needs a look: the thing that was meant may be in a file that was not copied. As long as an external file is
missing or unreadable, or an unused file holds the target, the reference stays: it is the evidence of it. Where a part
of it is named beside it, as the variety beside the crop, the reference is led to what that is a part of, and left where
that has no identifier. A guidance shift of nothing goes.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.isoxml.facts import AttributeFact
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.reference._whereabouts import Whereabouts
from taskdata.repairs.repair_work import RepairWork, remove
from taskdata.results.cleaning import Standing

RULES = ("reference.dangling",)
STANDING = Standing.REVIEW
NEEDS = ("reference.stub",)

PART_OF = {"CodedCommentIdRef": "CodedCommentListValueIdRef", "CropTypeIdRef": "CropVarietyIdRef"}
"""References to a thing, and those beside them to a part of it."""
SHIFT = "GST"


def repair(work: RepairWork) -> None:
    """Lead each optional reference to an identifier that the set does not have to what is meant, or remove it."""
    elsewhere = Whereabouts(work.document)
    for element in list(work.document.walk()):
        lost = [fact for fact in _lost(work, element) if not elsewhere.may_hold(element.attributes[fact.letter])]
        if lost and element.tag == SHIFT and len(lost) == len(list(element.references())):
            named = ", ".join(element.attributes[fact.letter] for fact in lost)
            work.note(
                RULES[0],
                element,
                named,
                None,
                phrase("a guidance shift of {named}, which is not in the set", named=named),
            )
            remove(element)
            work.touch()
            continue
        for attribute in lost:
            target, part = element.attributes[attribute.letter], _part(work, element, attribute)
            owner = None if part is None else part.parent
            meant = owner.id if owner is not None and work.document.by_id.get(owner.id or "") is owner else None
            if part is not None and meant is None:
                continue
            reason = phrase("{name} names {target}, which is not in the set", name=attribute.name, target=target)
            if meant is None:
                del element.attributes[attribute.letter]
            else:
                element.attributes[attribute.letter] = meant
                reason = phrase("{reason}; the reference beside it is to a part of {meant}", reason=reason, meant=meant)
            work.note(RULES[0], element, target, meant, reason)


def _lost(work: RepairWork, element: Element) -> Iterator[AttributeFact]:
    """Yield the optional references of an element that lead nowhere."""
    for attribute, target in element.references():
        if not attribute.required and target not in work.document.by_id:
            yield attribute


def _part(work: RepairWork, element: Element, lost: AttributeFact) -> Element | None:
    """Return the part that an element names beside a lost reference, None where it names none that is there."""
    name = PART_OF.get(lost.name)
    return None if name is None else work.document.by_id.get(element.get(name) or "")

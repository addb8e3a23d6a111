"""Drop references that lead nowhere, where the standard does not demand them.

Why it needs a look: the thing that was meant may be in a file that was not copied.
"""

from __future__ import annotations

from taskdata.isoxml.facts import elements
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("reference.dangling",)
STANDING = Standing.REVIEW
ORDER = 40


def repair(work: Work) -> None:
    """Remove each optional reference to an identifier that the set does not have."""
    known = work.document.by_id
    for element in work.document.walk():
        fact = elements().get(element.tag)
        for attribute in fact.attributes.values() if fact is not None else ():
            target = element.attributes.get(attribute.letter)
            if attribute.type != "xs:IDREF" or attribute.required or not target or target in known:
                continue
            reason = f"{attribute.name} names {target}, which is not in the set"
            work.note(RULES[0], element, target, None, reason)
            del element.attributes[attribute.letter]

"""An inner ring crosses the outer ring or another inner ring.

What it checks
    That inner rings cross neither an outer ring of their polygon nor each other; to touch is allowed. Before version 4
    this is judged, and only a warning.
Why it matters
    What is left out and what belongs to the field is not clear: area and amount are wrong, and a machine may work where
    the hole was meant to keep it out, in water or around a mast.
Example
    Bad: a pond whose ring reaches over the boundary of the field.
    Good: the boundary follows the bank; no inner ring is needed there.
How to fix
    Cut the inner ring off at the outer one, or lead the outer ring around it. Join inner rings that overlap.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.geometry._holes import Fault, holes
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.phrases import phrase
from taskdata.versions import has

RULE = Rule(
    id="geometry.hole-crossing",
    severity=Severity.ERROR,
    message="An inner ring of {element} crosses {other}.",
    remedy="Cut it at the other ring, or draw the outer ring around it; join inner rings that overlap.",
    clause="D.39",
    covers=("R-173", "R-174"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each crossing of two rings, at the inner ring."""
    binding = subject.major is None or has("binding holes", subject.major)
    severity = Severity.ERROR if binding else Severity.WARNING
    for fault in (Fault.CROSSES_OUTER, Fault.CROSSES_INNER):
        for hole in holes(subject, fault):
            place = replace(subject.place(hole.ring.element), location=hole.location)
            yield RULE.at(
                place, severity=severity, element=place.element or hole.ring.element.tag, other=phrase(fault.value)
            )

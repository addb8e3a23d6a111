"""A base station is described that no guidance pattern was made with.

What it checks
    That each base station (BSN) is named by a guidance pattern (GPN). That only guidance patterns name it is found by
    the rule on references of the wrong type.
Why it matters
    Nothing forbids it; that it is worth knowing is judged: the base station is of no use to a receiver. If a pattern
    was made with it, the reference got lost, and with it the means to shift the lines when the base moves.
Example
    Bad: <BSN A="BSN1" .../> while no GPN names BSN1.
    Good: <GPN A="GPN1" L="BSN1" .../>
How to fix
    Name the base station in the patterns made with it, or leave it out.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="coding.unused-base-station",
    severity=Severity.NOTE,
    message="No guidance pattern names the base station {element}.",
    remedy="Name it in the patterns that were made with it, or leave it out.",
    clause="D.4",
    covers=("R-071",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each base station that nothing refers to."""
    used = {reference.text for reference in subject.references if reference.fact.refers_to == "BSN"}
    for element in subject.tagged("BSN"):
        if element.id is not None and element.id not in used:
            yield RULE.at(subject.place(element), element=element.id)

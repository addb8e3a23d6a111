"""A guidance shift does not say what it shifts, or shifts a pattern of another group.

What it checks
    That a shift (GST) names a group or a pattern, and that the pattern belongs to the group of the shift, or where it
    names none, to that of the allocation (GAN) that it is in. The second half is judged.
Why it matters
    The correction of the lines is lost, or moves other lines than those the driver adjusted; the machine then steers
    beside its tracks.
Example
    Bad: <GAN A="GGP1"> with <GST E="50"/>
    Good: <GST B="GPN1" E="50"/>, where GPN1 stands in GGP1
How to fix
    Name the pattern or the group that is shifted.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase

RULE = Rule(
    id="guidance.shift-without-pattern",
    severity=Severity.ERROR,
    message="A guidance shift of {element} {what}.",
    remedy="Name the pattern or the group that is shifted.",
    clause="D.31",
    covers=("R-144",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each shift without object, or with that of another group."""
    for shift in subject.tagged("GST"):
        place = subject.place(shift)
        owner = place.element or shift.tag
        if shift.get("GuidanceGroupIdRef") is None and shift.get("GuidancePatternIdRef") is None:
            yield RULE.at(place, element=owner, what=phrase("names neither group nor pattern"))
            continue
        pattern, group = referred(subject, shift, "GuidancePatternIdRef"), _group(subject, shift)
        if pattern is not None and group is not None and pattern.parent is not group:
            what = phrase("names {id}, which is not a pattern of {id_2}", id=pattern.id, id_2=group.id)
            yield RULE.at(place, severity=Severity.WARNING, element=owner, what=what)


def _group(subject: Subject, shift: Element) -> Element | None:
    """Return the group that a shift names, or else the one of its allocation."""
    if shift.get("GuidanceGroupIdRef") is not None:
        return referred(subject, shift, "GuidanceGroupIdRef")
    owner = shift.parent
    return referred(subject, owner, "GuidanceGroupIdRef") if owner is not None and owner.tag == "GAN" else None

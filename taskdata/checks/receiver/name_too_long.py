"""A name is longer than the receiver takes.

What it checks
    That every name that a person gives (of fields, lines, products, tasks, people ...) has at most as many characters
    as the profile of the receiver says (names.longest).
Why it matters
    The name is cut. Two names that differ only at their end look the same, and the wrong field, line or product is
    taken.
Example
    Bad: "Große Breite Nord, oberhalb der Straße" for a terminal that takes 20 characters.
    Good: "Breite Nord, oben".
How to fix
    Shorten the name so that what tells it from others comes first.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._naming import names
from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.name-too-long",
    severity=Severity.ERROR,
    message=(
        "The name {text} has {count} characters, but {receiver} accepts {wanted}{basis}; it will be cut, or the "
        "object refused."
    ),
    remedy="Shorten the name and put what tells it from others first; [[convert(receiver)]] cuts it.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each name that is too long."""
    limit = said(subject, "names.longest")
    if limit is None:
        return
    for name, place in names(subject):
        if len(name) > limit:
            facts = {"text": name, "count": len(name), "wanted": limit}
            yield against(subject, RULE, "names.longest", place(), **facts)

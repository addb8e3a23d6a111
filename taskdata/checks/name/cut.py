"""A name was cut at 32 characters.

What it checks
    Whether a name of exactly 32 characters, as many as fit, ends within a word, a bracket or with a blank or
    hyphen, which is a note, as it may just fit; and whether several in one list became equal, which is a warning.
Why it matters
    What told the names apart was at their end. The driver sees one name twice, and the office cannot match what comes
    back.
Example
    Bad: two fields "Große Breite hinter der Scheune " that were called "... links" and "... rechts".
    Good: "Gr. Breite h. d. Scheune links".
How to fix
    Use short names: what differs goes first.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from taskdata.checks.name._named import LONGEST, Named, named
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="name.cut",
    severity=Severity.NOTE,
    message='The name "{name}" of {element} has exactly {length} characters, the most that fit: {what}.',
    remedy="Give it a shorter name that begins with what tells it from others.",
    clause="Annex D",
)
OPEN, CLOSED = "([{", ")]}"
ENDS = ".!?)]}\"'"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each name that seems to be cut."""
    first: dict[tuple[tuple[str, str | None], tuple[str, ...]], Named] = {}
    for item in named(subject):
        for part in item.parts:
            if len(part) == LONGEST:
                before = first.setdefault((item.group, item.parts), item)
                twice = before.id != item.id
                what = f"it is also that of {before.id}" if twice else _sign(part)
                if what is not None:
                    facts: dict[str, Any] = {"element": item.id, "name": part, "length": LONGEST, "what": what}
                    yield RULE.at(item.place, severity=Severity.WARNING if twice else None, **facts)


def _sign(name: str) -> str | None:
    """Return what shows that a name of full length was cut, None where nothing does."""
    if any(name.count(left) > name.count(right) for left, right in zip(OPEN, CLOSED, strict=True)):
        return "a bracket is not closed"
    if name[-1].isspace() or name[-1] in "-,/&+":
        return "it ends where a word should follow"
    return None if name[-1] in ENDS else "its last word may be cut"

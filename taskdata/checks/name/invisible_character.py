"""A name holds characters that nobody sees.

What it checks
    That no name holds controls, marks without width (such as U+200B), marks of writing direction, soft hyphens, line
    breaks, or blanks other than the usual one. Marks of direction in names of right-to-left letters and joiners in
    names of scripts that join letters are right. Blanks other than the usual one are a note: they can be guessed.
Why it matters
    Usually they come from copying out of a text or a web page. Two names look the same and are not, a search does not
    find one, and some terminals show a box or end the name there.
Example
    Bad: "Kuhle" with U+200B (ZERO WIDTH SPACE) at its end.
    Good: "Kuhle".
How to fix
    Type the name again, do not copy it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from taskdata.checks.name._looks import is_blank, unseen
from taskdata.checks.receiver._naming import names
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="name.invisible-character",
    severity=Severity.WARNING,
    message='The name "{name}" of {element} holds characters that cannot be seen: {text}.',
    remedy="Type the name again.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each name with such characters, which it lists by code and name."""
    for name, place_of in names(subject):
        odd = unseen(name.strip())
        if odd:
            place = place_of()
            text = ", ".join(f"U+{ord(item):04X} {unicodedata.name(item, 'control')}" for item in sorted(odd))
            severity = Severity.NOTE if all(map(is_blank, odd)) else None
            yield RULE.at(place, severity=severity, element=place.element or "the set", name=name, text=text)

"""A name has letters that the receiver does not show.

What it checks
    That every name that a person gives has only letters of the character set that the profile of the receiver states
    (names.characters): ascii, latin-1 or any.
Why it matters
    Letters that the terminal does not know turn into boxes or question marks, or the name ends there; two names may
    look the same.
Example
    Bad: "Schmale Äcker" for a terminal that shows ASCII only.
    Good: "Schmale Aecker".
How to fix
    Write the name with letters of the set. Names that must stay as they are in the office belong into its own data.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._naming import names
from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.name-with-other-letters",
    severity=Severity.ERROR,
    message="The name {text} has letters outside {wanted}: {found}. {receiver} does not show them{basis}.",
    remedy="Write the name with letters that it shows; [[convert(receiver)]] does.",
)
LAST = {"ascii": 127, "latin-1": 255}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each name with other letters."""
    wanted = said(subject, "names.characters")
    if wanted not in LAST:
        return
    for name, place in names(subject):
        odd = [letter for letter in dict.fromkeys(name) if ord(letter) > LAST[wanted]]
        if odd:
            facts = {"text": name, "wanted": wanted, "found": " ".join(odd)}
            yield against(subject, RULE, "names.characters", place(), **facts)

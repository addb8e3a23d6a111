"""A name has characters that many terminals cannot show.

What it checks
    That names have only characters of Latin-1 (ISO/IEC 8859-1), which most terminals can show. A set is UTF-8, so other
    letters are not wrong. Characters that are not drawn at all are found by name.invisible-character.
Why it matters
    The screen shows boxes or question marks instead.
Example
    Bad: "Łąka" on a terminal of western Europe, or a name with a long dash copied from a text.
    Good: "Laka" for that terminal.
How to fix
    Look at the name on the terminal. Where it cannot be read, write it with plain letters.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from taskdata.checks.name._looks import unseen
from taskdata.checks.name._named import named
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="name.outside-latin-1",
    severity=Severity.NOTE,
    message='The name "{name}" of {element} has characters that not every terminal can show: {text}.',
    remedy="Look at it on the terminal; if it cannot be read there, write it with plain letters.",
)
LAST = 0xFF


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each name with such characters, which it lists by code and name."""
    for item in named(subject):
        odd = sorted({character for character in item.text.strip() if ord(character) > LAST} - unseen(item.text))
        if odd:
            text = ", ".join(
                f"U+{ord(character):04X} {unicodedata.name(character, 'without a name')}" for character in odd
            )
            yield RULE.at(item.place, element=item.id, name=item.text, text=text)

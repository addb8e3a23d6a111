"""A link that has to be a UUID is not one.

What it checks
    That every link in a group of type 1 is a random UUID, version 4, as ISO/IEC 9834-8 and RFC 4122 write it: 32
    hexadecimal digits in five groups.
Why it matters
    Only a random UUID is sure to be given once in the world. Any other value may name two things, or be refused, and
    with it the identity of a field or a product is lost.
Example
    Bad: <LNK A="PFD1" B="17"/>
    Good: <LNK A="PFD1" B="919108f7-52d1-4320-9bac-f847db4148a8"/>
How to fix
    Have the program that made it write a UUID of version 4. Numbers of one's own belong in a group of type 2.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.linklist._links import UUID, groups, links
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.wrong-uuid",
    severity=Severity.ERROR,
    message="The link of {target} is '{value}', which is not a random UUID (version 4).",
    remedy="Have the program that made it write a version 4 UUID; proprietary numbers belong in a group of type 2.",
    clause="E.4",
    covers=("R-212",),
    since=4,
)
_RANDOM = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.IGNORECASE | re.ASCII)


def is_random_uuid(text: str) -> bool:
    """Tell whether a text is a UUID of version 4 in the form of RFC 4122, capitals allowed."""
    return _RANDOM.fullmatch(text) is not None


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each link of type 1 that is no random UUID."""
    for group in groups(subject, UUID):
        for link in links(group):
            if not is_random_uuid(link.value):
                yield RULE.at(subject.place(link.element), target=link.target or "an object", value=link.value)

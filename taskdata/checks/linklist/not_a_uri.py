"""A link that has to be a URI is not one.

What it checks
    That in link groups of type 3 and 4 the namespace of the group followed by the value of the link has the form of a
    URI (RFC 3986): a scheme, a colon, and no blanks or letters beyond ASCII. Whether it can be resolved is not tried.
Why it matters
    Nobody can follow the link.
Example
    Bad: D="Merkblatt " and B="kornblick"
    Good: D="https://ahrenbrook.example/" and B="kornblick.html"
How to fix
    Complete the namespace or the value; write unusual letters and blanks as percent codes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.linklist._links import INFORMATIONAL, RESOLVABLE, groups, links
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.not-a-uri",
    severity=Severity.WARNING,
    message="The link of {target} is '{value}', which is not a URI.",
    remedy="Complete the namespace of the group or the value; write unusual letters and blanks as percent codes.",
    clause="E.4",
    covers=("R-214",),
    since=4,
)
_URI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:(?:[A-Za-z0-9._~:/?#\[\]@!$&'()*+,;=-]|%[0-9A-Fa-f]{2})+")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each link that is no URI."""
    for group in groups(subject, RESOLVABLE, INFORMATIONAL):
        namespace = group.get("LinkGroupNamespace") or ""
        for link in links(group):
            whole = namespace + link.value
            if not _URI.fullmatch(whole):
                yield RULE.at(subject.place(link.element), target=link.target or "an object", value=whole)

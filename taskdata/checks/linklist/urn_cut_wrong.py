"""A URN is split at the wrong place between group and link.

What it checks
    That in a link group of type 3 whose links are URNs the namespace is "urn:", a name and further parts, and ends with
    a colon; the link is the rest and does not begin with "urn:" again.
Why it matters
    Programs put the two together, or compare one of them: cut elsewhere, the same identity looks like another.
Example
    Bad: D="urn:example:lindhollen" and B=":0417-2"
    Good: D="urn:example:lindhollen:" and B="0417-2"
How to fix
    Move everything up to the last colon of the namespace part into the group.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.linklist._links import RESOLVABLE, groups, links
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.urn-cut-wrong",
    severity=Severity.ERROR,
    message=(
        "The URN of {target} is '{other}' in the group and '{value}' in the link; the part in the group must end with "
        "the last colon of the namespace."
    ),
    remedy="Move everything up to the last colon of the namespace part into the group.",
    clause="E.4",
    covers=("R-215",),
    since=4,
)
_NAMESPACE = re.compile(r"urn:[a-z0-9][a-z0-9-]*:(?:[^:]+:)*", re.IGNORECASE)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each link whose URN is cut elsewhere."""
    for group in groups(subject, RESOLVABLE):
        namespace = group.get("LinkGroupNamespace") or ""
        for link in links(group):
            is_urn = (namespace + link.value).lower().startswith("urn:")
            right = _NAMESPACE.fullmatch(namespace) and not link.value.startswith(":")
            if is_urn and not right:
                target = link.target or "an object"
                yield RULE.at(subject.place(link.element), target=target, other=namespace, value=link.value)

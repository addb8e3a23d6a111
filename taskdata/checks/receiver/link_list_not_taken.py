"""The receiver does not take attached files.

What it checks
    That the main file names no attached files (AFE), such as a link list, for a receiver whose profile says that it
    does not accept them (takes.link_list).
Why it matters
    World-wide identities of fields and products do not come back from the terminal, so the office has to match them
    by name; some terminals refuse the set.
Example
    Bad: <AFE A="LINKLIST.XML" .../> in the main file.
    Good: no attached files.
How to fix
    Remove the link list and the attached files for this receiver, or convert to version 3, which has none. Keep the
    original set, so that what comes back can be matched by its identifiers.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, refused
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.filenames import file_name

RULE = Rule(
    id="receiver.link-list-not-taken",
    severity=Severity.ERROR,
    message=(
        "{receiver} does not accept attached files{basis}; {file} will not come back from it, or the set is refused."
    ),
    remedy="Leave the files out with [[convert(receiver)]], and keep the original set.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each attached file."""
    if not refused(subject, "takes.link_list"):
        return
    for element in subject.tagged("AFE"):
        facts = {"file": file_name(element)}
        yield against(subject, RULE, "takes.link_list", subject.place(element), **facts)

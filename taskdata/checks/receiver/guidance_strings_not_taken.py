"""The receiver does not take guidance lines that stand as line strings in a field.

What it checks
    That fields have no line strings of type 5 for a receiver whose profile says that it does not accept them
    (takes.guidance_strings).
Why it matters
    The line is missing on the terminal. Whoever then makes a new one drives a shifted track.
Example
    Bad: <PFD ...><LSG A="5">...</LSG></PFD> for a terminal of version 4 that looks for guidance groups only.
    Good: the same line as a pattern (GPN) in a guidance group.
How to fix
    Convert the set to version 4, which keeps guidance lines in groups; or make the line on the terminal.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, refused
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.guidance-strings-not-taken",
    severity=Severity.ERROR,
    message=(
        "{receiver} does not accept guidance lines stored as line strings of a field{basis}; {name} will be missing "
        "on it."
    ),
    remedy="Convert the set with [[convert(receiver)]], or make the line on the terminal.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line."""
    if not refused(subject, "takes.guidance_strings"):
        return
    for field in subject.dataset.fields:
        for line in field.line_guidance:
            name = line.name or f"a line of {field.name or field.id}"
            yield against(subject, RULE, "takes.guidance_strings", line.place, name=name)

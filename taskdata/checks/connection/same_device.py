"""A connection joins a device to itself.

What it checks
    That both ends of a connection (CNN) name different devices. Judged.
Why it matters
    The chain from the antenna to the implement ends in the same device: where the implement works cannot be computed.
Example
    Bad: <CNN A="DVC1" B="DET103" C="DVC1" D="DET103"/>
    Good: C="DVC2" D="DET202"
How to fix
    Name the device that is attached.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="connection.same-device",
    severity=Severity.WARNING,
    message="A connection connects {element} to itself.",
    remedy="Name the device that is attached.",
    clause="D.11",
    covers=("R-122",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each connection of a device to itself."""
    for connection in subject.tagged("CNN"):
        device = connection.get("DeviceIdRef_0")
        if device is not None and device == connection.get("DeviceIdRef_1"):
            yield RULE.at(subject.place(connection), element=device)

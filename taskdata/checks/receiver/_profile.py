"""What the profile of the receiver says, and findings against it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Protocol

from taskdata.checks.subject import Subject
from taskdata.findings import Fact, Finding, Place, Rule, Severity
from taskdata.model.receiver import Receiver

HINT = " (a hint from a set that it wrote, which nobody has confirmed; no set is changed for it)"


class Placed(Protocol):
    """A record that knows where it stands."""

    @property
    def place(self) -> Place:
        """Where it stands."""
        ...


def said(subject: Subject, entry: str) -> Any:
    """Return what the profile says of ``entry``, such as ``limits.fields``; None without profile or without word."""
    return None if subject.receiver is None else subject.receiver.get(entry)


def refused(subject: Subject, entry: str) -> bool:
    """Tell whether the profile says that the receiver does not take something."""
    return said(subject, entry) is False


def against(subject: Subject, rule: Rule, entry: str, place: Place, **facts: Fact) -> Finding:
    """Return a finding against ``entry``; a note that says so where the profile has it as a hint."""
    receiver = subject.receiver or Receiver()
    hint = receiver.is_hint(entry)
    told: dict[str, Fact] = {"receiver": receiver.name, "basis": HINT if hint else ""}
    return rule.at(place, severity=Severity.NOTE if hint else None, **told, **facts)


def beyond(subject: Subject, rule: Rule, entry: str, records: Sequence[Placed]) -> Iterator[Finding]:
    """Yield one finding where there are more records than the receiver takes, at the first that is too many."""
    limit = said(subject, entry)
    if limit is not None and len(records) > limit:
        yield against(subject, rule, entry, records[limit].place, count=len(records), wanted=limit)

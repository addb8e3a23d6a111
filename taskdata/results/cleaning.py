"""What a cleaning gives: every change with what was, what is, and why; and what an audit still finds."""

from __future__ import annotations

from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.findings import Fact, Finding
from taskdata.ledger import Loss
from taskdata.phrases import phrase
from taskdata.records import short_repr

ASIDE = phrase("kept aside")
"""What a file is after it was taken out of the set."""


class Standing(StrEnum):
    """``safe``: no information changes. ``review``: a choice was made that a person may want to see."""

    SAFE = "safe"
    REVIEW = "review"


@short_repr
@dataclass(frozen=True, slots=True)
class Change:
    """One line of the journal.

    Parameters
    ----------
    rule : str
        The rule whose finding goes away.
    standing : Standing
        How much was decided.
    element, path, file : str or None
        Where: nearest identifier, XPath, file as stored.
    before, after : str, int, float or None
        What was and what is; None = nothing.
    reason : str
        Why this is the repair.
    """

    rule: str
    standing: Standing
    element: str | None
    path: str | None
    file: str | None
    before: Fact
    after: Fact
    reason: str


@short_repr
@dataclass(frozen=True)
class Cleaning:
    """What a cleaning did, or would do.

    Parameters
    ----------
    source, target : str
        As named by the caller.
    changes : tuple of Change
        The journal.
    left : tuple of Finding
        What an audit still finds.
    repairs : tuple of str or None
        For each of these the standing of its repair, which was not asked for; empty where no more is repaired.
    before, after : dict of str to int
        Errors, warnings and notes before and after.
    losses : tuple of Loss
        What the target cannot hold.
    new_errors : tuple of Finding
        As of a ``Conversion``; only where the source was layers.
    findings : tuple of Finding
        What reading the source found wrong.
    failed : tuple of Finding
        One for each repair that failed; nothing of it is in the target.
    bounds : tuple of float or None
        As of a ``Conversion``.
    """

    source: str
    target: str
    changes: tuple[Change, ...]
    left: tuple[Finding, ...]
    before: dict[str, int]
    after: dict[str, int]
    losses: tuple[Loss, ...] = ()
    repairs: tuple[str | None, ...] = ()
    new_errors: tuple[Finding, ...] = ()
    findings: tuple[Finding, ...] = ()
    failed: tuple[Finding, ...] = ()
    bounds: tuple[float, float, float, float] | None = None

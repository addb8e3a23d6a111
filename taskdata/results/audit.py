"""What an audit gives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import TypeAlias

from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Rule, Severity
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, eq=False)
class CheckReport:
    """The result of one audit.

    Parameters
    ----------
    source : str
        Path as the user gave it.
    version : str or None
        Version of the standard that the set states, such as ``4.3``.
    findings : tuple of Finding
        By file and line. Of many equal faults only the first are listed, then one finding counts the rest.
    summary : dict of str to int
        How many errors, warnings and notes were found, those not listed included.
    folder : str
        Path that the names of files in findings are relative to.
    applied : tuple of Rule
        The rules that were applied, by id, whether they found something or not.
    repairs : tuple of str or None
        For each finding ``safe`` or ``review`` where cleaning repairs it, else None; empty where that was not asked.
    """

    source: str
    version: str | None
    findings: tuple[Finding, ...]
    summary: dict[str, int]
    folder: str = ""
    applied: tuple[Rule, ...] = ()
    repairs: tuple[str | None, ...] = ()

    def reaches(self, level: Severity) -> bool:
        """Tell whether anything at or above ``level`` was found."""
        return any(self.summary[severity] for severity in Severity if severity.rank <= level.rank)


@short_repr
@dataclass(frozen=True, slots=True)
class UnreadSource:
    """A source that could not be audited, and why in one line."""

    source: str
    error: str


Audited: TypeAlias = CheckReport | UnreadSource
"""What came of auditing one of several sources."""


def summarize(findings: Iterable[Finding]) -> dict[str, int]:
    """Count findings by severity, gravest first, zeros included."""
    counts = Counter(item.severity for item in findings)
    return {str(severity): counts[severity] for severity in Severity}

"""What an audit brought to light, unrendered."""

from __future__ import annotations

from dataclasses import dataclass

from taskdata.findings import Finding, Severity


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
    """

    source: str
    version: str | None
    findings: tuple[Finding, ...]
    summary: dict[str, int]

    def reaches(self, level: Severity) -> bool:
        """Tell whether anything at or above ``level`` was found."""
        return any(self.summary[severity] for severity in Severity if severity.rank <= level.rank)


def summarize(findings: list[Finding]) -> dict[str, int]:
    """Count findings by severity, gravest first, zeros included."""
    return {str(severity): sum(item.severity is severity for item in findings) for severity in Severity}

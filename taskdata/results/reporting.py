"""What making a page gives."""

from __future__ import annotations

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class Reported:
    """A page or picture that was written.

    Parameters
    ----------
    source, target : str
        Paths.
    summary : dict of str to int
        How many errors, warnings and notes the audit found, those that the page does not list included.
    findings : tuple of Finding
        What reading the source found wrong.
    """

    source: str
    target: str
    summary: dict[str, int]
    findings: tuple[Finding, ...] = ()

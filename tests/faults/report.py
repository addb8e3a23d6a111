"""What a long run found."""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Report:
    """Counts of one kind of fault.

    Parameters
    ----------
    kind : str
        The kind.
    count : Counter
        How often what was done or seen.
    failures : list of str
        What a promise did not hold for.
    skipped : str or None
        Why nothing was done, where that is so.
    """

    kind: str
    count: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)
    skipped: str | None = None

    def check(self, what: str, wrong: str | None) -> None:
        """Note a failure, if there is one."""
        if wrong:
            self.failures.append(f"{what}: {wrong}")
            tell(f"FAILED {self.kind} {what}: {wrong}")

    def shown(self) -> str:
        """Return the counts in a line."""
        if self.skipped:
            return f"{self.kind}: skipped, {self.skipped}"
        counts = ", ".join(f"{number} {what}" for what, number in self.count.items())
        return f"{self.kind}: {counts}; {len(self.failures)} failures"


def tell(text: str) -> None:
    """Print a line."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()

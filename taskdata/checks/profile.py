"""How much the rules put up with: the defaults, or what a profile sets instead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from taskdata.dataclass import dataclass
from taskdata.findings import Tolerance


@dataclass(frozen=True)
class Profile:
    """The tolerances of one audit.

    Parameters
    ----------
    values : dict of str to number
        By the name of the tolerance; what is not there has its default.
    """

    values: Mapping[str, int | float] = field(default_factory=dict)

    def __getitem__(self, tolerance: Tolerance) -> float:
        """Return the value of a tolerance in its unit."""
        return float(self.values.get(tolerance.name, tolerance.default))

"""Two sources side by side, whatever their formats."""

from __future__ import annotations

import math

from taskdata.collector import collector_at_rest
from taskdata.errors import UsageError
from taskdata.exchange.sides import sides_of
from taskdata.model.dataset import Dataset
from taskdata.results.comparison import Comparison
from taskdata.sets.compare import compare


def compare_sets(first: Dataset, second: Dataset, tolerance_m: float = 0.0) -> Comparison:
    """Compare two sets that were read from any format; see ``taskdata.sets.compare``.

    Raises
    ------
    UsageError
        The tolerance is negative, endless or no number.
    """
    if not (math.isfinite(tolerance_m) and tolerance_m >= 0.0):
        raise UsageError(f"a tolerance of {tolerance_m} m cannot be used", remedy="Give metres, 0 or more")
    (one, two), _ = sides_of([first, second])
    with collector_at_rest():
        return compare(one, two, tolerance_m)

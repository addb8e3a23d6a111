"""Two sources side by side, whatever their formats."""

from __future__ import annotations

import math

from taskdata.errors import UsageError
from taskdata.exchange.load import document_behind
from taskdata.isoxml.to_document.apply import DEFAULT_VERSION, apply, new_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.model.dataset import Dataset
from taskdata.sets.compare import compare
from taskdata.sets.differences import Comparison
from taskdata.sets.side import Side


def compare_sets(first: Dataset, second: Dataset, tolerance_m: float = 0.0) -> Comparison:
    """Compare two sets that were read from any format; see ``taskdata.sets.compare``.

    Raises
    ------
    UsageError
        The tolerance is negative, endless or no number.
    """
    if not (math.isfinite(tolerance_m) and tolerance_m >= 0.0):
        raise UsageError(f"a tolerance of {tolerance_m} m cannot be used", remedy="Give metres, 0 or more")
    return compare(side_of(first), side_of(second), tolerance_m)


def side_of(dataset: Dataset) -> Side:
    """Return a set with its document; records of layers that no set stands behind get one made of them."""
    document = document_behind(dataset)
    if document is not None:
        return Side(document, dataset)
    made = new_document(dataset.source, DEFAULT_VERSION)
    apply(made, Dataset(dataset.source, "isoxml"), dataset)
    return Side(made, to_dataset(made))

"""Fields that layers hold twice, as a person may not see that two files are exports of one farm."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.findings import Finding, Place
from taskdata.model.dataset import Dataset
from taskdata.raised_rules.import_.field_twice import RULE as FIELD_TWICE
from taskdata.sets.pairing import SAME_OUTLINE, common_share
from taskdata.sets.side import outline


def fields_twice(dataset: Dataset) -> Iterator[Finding]:
    """Yield a finding for each field that covers the ground of an earlier one."""
    found = [(field, shape) for field in dataset.fields if (shape := outline(field)) is not None]
    shapes = np.array([shape for _, shape in found], dtype=object)
    told = set[int]()
    for one, two in sorted(shapely.STRtree(shapes).query(shapes, predicate="intersects").T.tolist()):
        if two > one and two not in told and common_share(shapes[one], shapes[two]) >= SAME_OUTLINE:
            told.add(two)
            first, second = found[one][0], found[two][0]
            yield FIELD_TWICE.at(Place(), element=second.id, name=second.name, other=first.id, text=first.name)

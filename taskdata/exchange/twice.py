"""Fields that layers hold twice, as a person may not see that two files are exports of one farm."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.findings import Finding, Place
from taskdata.model.dataset import Dataset
from taskdata.raised_rules.import_.field_twice import RULE as FIELD_TWICE
from taskdata.sets.alike_outlines import SAME_OUTLINE, common_share
from taskdata.sets.side import outline


def fields_twice(dataset: Dataset) -> Iterator[Finding]:
    """Yield a finding for each field that covers the ground of an earlier one."""
    found = [(field, shape) for field in dataset.fields if (shape := outline(field)) is not None]
    shapes = np.array([shape for _, shape in found], dtype=object)
    tree, told = shapely.STRtree(shapes), np.zeros(len(shapes), dtype=np.bool_)
    for one, shape in enumerate(shapes):
        near = tree.query(shape, predicate="intersects")
        for two in sorted(near[(near > one) & ~told[near]].tolist()):
            if common_share(shape, shapes[two]) >= SAME_OUTLINE:
                told[two] = True
                first, second = found[one][0], found[two][0]
                yield FIELD_TWICE.at(Place(), element=second.id, name=second.name, other=first.id, text=first.name)

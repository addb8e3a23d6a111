"""The field that each row of a layer belongs to: the one that it lies in or, up to 1 km, is nearest to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from taskdata.findings import Finding, Place
from taskdata.formats.foreign.features import Feature
from taskdata.formats.layers.wording import id_prefix
from taskdata.geometry.nearest import NEAR_M, Sites
from taskdata.model.fields import Field
from taskdata.raised_rules.import_.far_from_fields import RULE as FAR_FROM_FIELDS


class Homes:
    """The fields, and those that are made for what is far from every one: one a layer, without a boundary."""

    def __init__(self, fields: Sequence[Field]) -> None:
        self.fields = list(fields)
        self._sites = Sites(item.boundaries for item in fields)
        self._some = bool(fields)
        self._apart = Counter[str]()
        self._made: dict[str, int] = {}

    def of(self, feature: Feature) -> int:
        """Return the position of the field that a row belongs to."""
        near = self._sites.nearest(feature.geometry)
        if near is not None:
            return near.index
        self._apart.update([feature.table])
        if feature.table not in self._made:
            self._made[feature.table] = len(self.fields)
            self.fields.append(Field(id=f"{id_prefix('PFD')}{len(self.fields) + 1}", name=feature.table))
        return self._made[feature.table]

    def findings(self) -> Iterator[Finding]:
        """Yield how much is far from every field, where there are any."""
        for table, count in self._apart.items() if self._some else ():
            yield FAR_FROM_FIELDS.at(Place(), count=str(count), layer=table, limit=f"{NEAR_M:.0f} m")

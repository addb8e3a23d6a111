"""Customers, farms, crops and varieties that rows name, once each.

Two spellings that differ in case and blanks alone are one name; the first spelling counts. Farms of one name that
belong to different customers are different farms, and varieties of one name of different crops too.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from itertools import count
from typing import Any, TypeVar

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place
from taskdata.formats.foreign.features import Feature
from taskdata.formats.layers.wording import id_prefix
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Customer, Farm
from taskdata.model.machines import Crop, CropVariety
from taskdata.raised_rules.import_.spellings_joined import RULE as SPELLINGS_JOINED
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT
from taskdata.results.survey import ColumnRole

Record = TypeVar("Record", bound="Customer | Farm | Crop")

_MOST_TOLD = 10


@dataclass(frozen=True, slots=True)
class Owned:
    """Identifiers of what a field belongs to and bears."""

    customer: str | None = None
    farm: str | None = None
    crop: str | None = None
    variety: str | None = None


@dataclass
class Owners:
    """What rows name so far, beside what the data set has."""

    base: Dataset
    customers: dict[str, Customer] = field(default_factory=dict)
    farms: dict[tuple[str, str | None], Farm] = field(default_factory=dict)
    crops: dict[str, Crop] = field(default_factory=dict)
    varieties: dict[tuple[str, str], CropVariety] = field(default_factory=dict)
    spellings: dict[tuple[str, str], dict[str, None]] = field(default_factory=lambda: defaultdict(dict))
    used: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    without_crop: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        """Begin with what the data set has."""
        for customer in self.base.customers:
            whole = f"{customer.first_name} {customer.name}" if customer.first_name else customer.name
            self.customers.setdefault(_same(whole), customer)
            self.used["CTR"].add(customer.id)
        for farm in self.base.farms:
            self.farms.setdefault((_same(farm.name), farm.customer), farm)
            self.used["FRM"].add(farm.id)
        for crop in self.base.crops:
            self.crops.setdefault(_same(crop.name), crop)
            self.used["CTP"].add(crop.id)
            for variety in crop.varieties:
                self.varieties.setdefault((crop.id, _same(variety.name)), variety)
                self.used["CVT"].add(variety.id)

    def of(self, feature: Feature) -> Owned:
        """Return what a row belongs to, made where nothing of that name is there yet."""
        customer = self._customer(feature.text(ColumnRole.CUSTOMER), feature.text(ColumnRole.CUSTOMER, 1))
        farm = self._farm(feature.text(ColumnRole.FARM), customer)
        crop = self._crop(feature.text(ColumnRole.CROP))
        name = feature.text(ColumnRole.VARIETY)
        if name is not None and crop is None:
            self.without_crop[feature.part.raw.label] += 1
        variety = None if name is None or crop is None else self._variety(name, crop)
        return Owned(customer, farm, crop, variety)

    def with_all(self, dataset: Dataset) -> Dataset:
        """Return a data set with everything that rows named."""
        crops = []
        for crop in _every(self.crops, dataset.crops):
            known = {item.id for item in crop.varieties}
            new = [item for (owner, _), item in self.varieties.items() if owner == crop.id and item.id not in known]
            crops.append(replace(crop, varieties=(*crop.varieties, *new)) if new else crop)
        return dataset.with_changes(
            customers=_every(self.customers, dataset.customers),
            farms=_every(self.farms, dataset.farms),
            crops=tuple(crops),
        )

    def findings(self) -> Iterator[Finding]:
        """Yield which spellings are one name, and what has no place."""
        several = {key: list(texts) for key, texts in self.spellings.items() if len(texts) > 1}
        for (what, _), (first, *others) in list(several.items())[:_MOST_TOLD]:
            yield SPELLINGS_JOINED.at(Place(), what=what, name=first, others=", ".join(repr(text) for text in others))
        for label, lacking in self.without_crop.items():
            reason, what = "a variety belongs to a crop, and none is named", counted(lacking, "row")
            yield VALUE_LEFT_OUT.at(Place(), what=f"The variety of {what} of {label}", reason=reason)

    def _customer(self, name: str | None, first_name: str | None) -> str | None:
        if name is None:
            return None
        key = self._spelt("customer", f"{first_name} {name}" if first_name else name)
        if key not in self.customers:
            self.customers[key] = Customer(self._free("CTR"), name, first_name)
        return self.customers[key].id

    def _farm(self, name: str | None, customer: str | None) -> str | None:
        if name is None:
            return None
        key = (self._spelt("farm", name), customer)
        if key not in self.farms:
            self.farms[key] = Farm(self._free("FRM"), name, customer)
        return self.farms[key].id

    def _crop(self, name: str | None) -> str | None:
        if name is None:
            return None
        key = self._spelt("crop", name)
        if key not in self.crops:
            self.crops[key] = Crop(self._free("CTP"), name)
        return self.crops[key].id

    def _variety(self, name: str, crop: str) -> str:
        key = (crop, self._spelt("variety", name))
        if key not in self.varieties:
            self.varieties[key] = CropVariety(self._free("CVT"), name)
        return self.varieties[key].id

    def _free(self, tag: str) -> str:
        """Return an identifier that nothing has."""
        used = self.used[tag]
        name = next(name for number in count(len(used) + 1) if (name := f"{id_prefix(tag)}{number}") not in used)
        used.add(name)
        return name

    def _spelt(self, what: str, name: str) -> str:
        """Note how a name is spelt, and return what all its spellings have in common."""
        key = _same(name)
        self.spellings[what, key][name] = None
        return key


def _same(name: str) -> str:
    return " ".join(name.split()).casefold()


def _every(found: Mapping[Any, Record], first: Sequence[Record]) -> tuple[Record, ...]:
    """Return the records of a data set, and after them those that were made."""
    known = {record.id for record in first}
    return (*first, *(record for record in found.values() if record.id not in known))

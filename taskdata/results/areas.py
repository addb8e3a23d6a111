"""Areas that work covered, with what they truly lie between, in square metres."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field as made

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class Interval:
    """Between what an area truly lies, 95 of 100 times, m²."""

    low: float
    high: float


@short_repr
@dataclass(frozen=True, slots=True)
class Areas:
    """Ground in m²; missed and outside are None without a field.

    ``missed_places`` counts the places that were missed, ``missed_ignored`` those of them that are too small to draw.

    ``intervals`` are by kind: ``worked``, ``double``, ``missed`` and ``outside``, those that are known. They hold what
    method, switching between records, bends and the errors of the positions leave open. ``edge_m`` is how far an edge
    may usually be off.

    ``late_missed_m2`` is missed ground that may have been worked, and ``late_outside_m2`` ground outside the field that
    may not have been, since a state changed there between two records.
    """

    field_m2: float | None = None
    worked_m2: float = 0.0
    double_m2: float = 0.0
    triple_m2: float = 0.0
    applied_m2: float = 0.0
    missed_m2: float | None = None
    outside_m2: float | None = None
    missed_places: int | None = None
    missed_ignored: int | None = None
    intervals: Mapping[str, Interval] = made(default_factory=dict)
    edge_m: float = 0.0
    late_missed_m2: float | None = None
    late_outside_m2: float | None = None

    @property
    def by_kind(self) -> dict[str, float | None]:
        """The four areas that have an interval."""
        return {
            "worked": self.worked_m2,
            "double": self.double_m2,
            "missed": self.missed_m2,
            "outside": self.outside_m2,
        }

    @property
    def uncertainty_m2(self) -> float:
        """How far the worked area may be off, m²."""
        return self._off("worked", self.worked_m2)

    @property
    def double_uncertainty_m2(self) -> float:
        """How far the area worked twice or more may be off, m²."""
        return self._off("double", self.double_m2)

    def _off(self, kind: str, value: float) -> float:
        found = self.intervals.get(kind)
        return 0.0 if found is None else max(found.high - value, value - found.low)

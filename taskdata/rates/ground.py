"""Ground with rates: patches of a field that do not overlap, each with a rate of every quantity or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.geometry.arrays import Floats
from taskdata.geometry.patches import Shapes, cut, faces, overlaps
from taskdata.rates.map_request import Overlap
from taskdata.results.rate_maps import MapNote

SLIVER_M2 = 1.0
"""Ground that two polygons may have in common by inexact outlines: the first rate holds there, and it is told."""

_NOISE_M2 = 1e-6

Notes = list[tuple[MapNote, str]]


@dataclass(frozen=True, eq=False)
class RateGround:
    """Ground with rates.

    Parameters
    ----------
    field : geometry
        The ground of the field, metres of a plane.
    shapes : ndarray of geometry (n,)
        Polygons and multi-polygons in the field that do not overlap.
    rates : float64 (n, q)
        Rates of each quantity, NaN where there is none.
    method : str
        How they were found, in words; empty where they stand as given.
    method_error : float or None
        Root mean square error of that, in the unit of the first quantity.
    """

    field: Any
    shapes: Shapes
    rates: Floats
    method: str = ""
    method_error: float | None = None

    @property
    def areas(self) -> Floats:
        """Area of each patch, m², (n,)."""
        return np.asarray(shapely.area(self.shapes), dtype=np.float64)

    @property
    def field_m2(self) -> float:
        """Area of the field, m²."""
        return float(shapely.area(self.field))

    def totals(self, gap: Sequence[float]) -> Floats:
        """Return the sum of area x rate of each quantity, ground without a rate counted with the gap rate, (q,)."""
        areas, known = self.areas[:, np.newaxis], np.isfinite(self.rates)
        covered = (areas * known).sum(axis=0)
        rest = np.maximum(self.field_m2 - covered, 0.0)
        return np.asarray((areas * np.where(known, self.rates, 0.0)).sum(axis=0) + rest * np.asarray(gap))

    def filled(self, gap: Sequence[float]) -> RateGround:
        """Return the patches with a rate of any quantity, the gap rate standing for those that they lack."""
        known = np.isfinite(self.rates)
        some = known.any(axis=1)
        rates = np.where(known, self.rates, np.asarray(gap))
        return replace(self, shapes=self.shapes[some], rates=rates[some])


def within(field: Any, shapes: Shapes, rates: Floats, notes: Notes) -> RateGround:
    """Return the ground of shapes, which do not overlap, in a field; tell what lies outside and where gaps are.

    Raises
    ------
    UsageError
        Nothing lies in the field.
    """
    kept = cut(shapes, field)
    whole, inside = float(shapely.area(shapes).sum()), float(shapely.area(kept).sum())
    if not inside > 0.0:
        distance = float(shapely.distance(shapely.union_all(shapely.envelope(shapes)), field)) if len(shapes) else 0.0
        why = f"it ends {distance / 1000.0:.1f} km away from it" if distance > 0.0 else "none of its ground is in it"
        remedy = "Name the field that the map is for ([[field]]), or check the coordinate reference system"
        raise UsageError("the map does not lie in the field", why=why, remedy=remedy)
    if whole - inside > SLIVER_M2:
        notes.append((MapNote.OUTSIDE_FIELD, repr(whole - inside)))
    some = shapely.area(kept) > 0.0
    found = RateGround(field, kept[some], rates[some])
    without = found.field_m2 - float((found.areas * np.isfinite(found.rates).all(axis=1)).sum())
    if without > SLIVER_M2:
        notes.append((MapNote.GAPS, repr(without)))
    return found


def without_overlaps(
    shapes: Shapes, rates: Floats, rule: Overlap | None, rows: NDArray[np.intp], notes: Notes
) -> tuple[Shapes, Floats]:
    """Return shapes that do not overlap, with the rates that hold there.

    Parameters
    ----------
    shapes : ndarray of geometry (n,)
        In the order of the layer.
    rates : float64 (n, q)
        Their rates.
    rule : Overlap or None
        Which rate holds where different ones overlap; None refuses them.
    rows : int (n,)
        Row of the layer of each, for messages.
    notes : list
        What has to be told is added.

    Raises
    ------
    UsageError
        Different rates overlap, and no rule says which holds.
    """
    common = [item for item in overlaps(shapes) if item.area > _NOISE_M2]
    if not common:
        return shapes, rates
    differing = [item for item in common if not np.array_equal(rates[item.first], rates[item.second], equal_nan=True)]
    large = [item for item in differing if item.area > SLIVER_M2]
    if large and rule is None:
        worst = large[0]
        one, other = (int(rows[at]) for at in (worst.first, worst.second))
        where = f"rows {one} and {other}"
        what = f"two rates hold for the same {worst.area:.0f} m²"
        more = f"and {len(large) - 1} more such pairs" if len(large) > 1 else None
        raise UsageError(
            what, where=where, why=more, remedy="Correct the map, or choose [[overlap=first]], last or mean"
        )
    if differing:
        kind = MapNote.OVERLAPS if large else MapNote.SLIVERS
        notes.append((kind, repr(float(sum(item.area for item in differing)))))
    involved = np.unique([(item.first, item.second) for item in common])
    made = faces(shapes[involved])
    chosen = _chosen(rates[involved], made.face, made.patch, rule or Overlap.FIRST)
    apart = np.setdiff1d(np.arange(len(shapes)), involved)
    return np.concatenate([shapes[apart], made.shapes]), np.concatenate([rates[apart], chosen])


def _chosen(rates: Floats, face: NDArray[np.intp], patch: NDArray[np.intp], rule: Overlap) -> Floats:
    """Return the rates of faces out of those of the patches that cover each; pairs are in the order of both."""
    starts = np.flatnonzero(np.concatenate([[True], np.diff(face) > 0]))
    if rule is not Overlap.MEAN:
        ends = np.concatenate([starts[1:], [len(face)]]) - 1
        return rates[patch[starts if rule is Overlap.FIRST else ends]]
    known = np.isfinite(rates)[patch]
    sums = np.add.reduceat(np.where(known, rates[patch], 0.0), starts, axis=0)
    counts = np.add.reduceat(known.astype(np.float64), starts, axis=0)
    return np.divide(sums, counts, out=np.full_like(sums, np.nan), where=counts > 0.0)

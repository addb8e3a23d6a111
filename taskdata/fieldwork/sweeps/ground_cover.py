"""How often ground was covered, exactly or on a raster, and how that compares with a field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.fieldwork.field_ground import ground_of
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry import multiplicity, raster
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.loops import only_polygons, polygons_of
from taskdata.geometry.multiplicity import Cover
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.raster import RasterCover
from taskdata.geometry.ribbons import Shapes, broad_quads, ribbons
from taskdata.geometry.sweeps import Quads
from taskdata.geometry.within import Within
from taskdata.model.shapes import Area
from taskdata.results.areas import Areas

EARTH_M = 6_371_000.0
FALLBACK_M = 0.25
"""Cells of the raster that is counted on where polygons would take too long."""

MOST_TIMES, MOST_CROSSINGS = 3.0, 5000.0
"""How often ground is worked again on average, and that times the ribbons, from which polygons would take minutes."""

_ROUGH_M, _FEW = 2.0, 200


@dataclass(frozen=True, slots=True)
class Outline:
    """A field: its polygons in the plane, and its area on the ellipsoid with holes taken out."""

    shape: Any
    area_m2: float

    @classmethod
    def of(cls, boundaries: Sequence[Area], plane: LocalPlane) -> Outline | None:
        """Return the outline of a field, None where it has no polygon; what is wrong with its rings is mended."""
        shape = ground_of(boundaries, plane)
        if shape is None:
            return None
        rings = [[plane.inverse(ring) for ring in (outer, *holes)] for outer, holes in polygons_of(shape)]
        return cls(shape, sum(polygon_area(part[:1], part[1:]) for part in rings))


class SweptGround:
    """What several works covered.

    Parameters
    ----------
    works : sequence of Work
        On one plane.
    plane : LocalPlane
    outline : Outline or None
        The field.
    cell_m : float or None
        Count on a raster.
    """

    def __init__(
        self, works: Sequence[LogWork], plane: LocalPlane, outline: Outline | None, cell_m: float | None
    ) -> None:
        self.works, self.plane, self.outline, self.cell_m = works, plane, outline, cell_m

    @cached_property
    def cover(self) -> Cover | RasterCover:
        """The counts."""
        if self.cell is None:
            return multiplicity.cover(self._ribbons)
        return raster.count(self._quads, self.cell, keep=True)

    @cached_property
    def cell(self) -> float | None:
        """The cell that was asked for; one of `FALLBACK_M` where ground overlaps too often for polygons, else None."""
        if self.cell_m is not None or len(self._ribbons) < _FEW:
            return self.cell_m
        rough = raster.count(np.concatenate([broad_quads(work.strips, work.motion) for work in self.works]), _ROUGH_M)
        times = np.arange(len(rough.areas))
        again = float((rough.areas * times**2).sum()) / max(rough.applied, _ROUGH_M**2) - 1.0
        return FALLBACK_M if again > MOST_TIMES and again * len(self._ribbons) > MOST_CROSSINGS else None

    @cached_property
    def _ribbons(self) -> Shapes:
        found = [ribbons(work.strips, work.motion) for work in self.works]
        return np.concatenate(found) if found else np.empty(0, dtype=object)

    @cached_property
    def _quads(self) -> Quads:
        quads = [work.pieces.quads for work in self.works]
        return np.concatenate(quads) if quads else np.empty((0, 4, 2))

    @cached_property
    def worked(self) -> Any:
        """Ground covered at least once, in the plane."""
        return only_polygons(self.cover.geometry(1))

    @cached_property
    def double(self) -> Any:
        """Ground covered at least twice, in the plane."""
        return only_polygons(self.cover.geometry(2))

    @cached_property
    def on_worked(self) -> Within:
        """Which places lie on ground covered at least once."""
        return Within(self.worked)

    @cached_property
    def on_double(self) -> Within:
        """Which places lie on ground covered at least twice."""
        return Within(self.double)

    @cached_property
    def on_field(self) -> Within | None:
        """Which places lie on the field, None where it is not known."""
        return None if self.outline is None else Within(self.outline.shape)

    @cached_property
    def missed(self) -> Any:
        """Ground of the field that was not covered, in the plane."""
        return None if self.outline is None else only_polygons(shapely.difference(self.outline.shape, self.worked))

    @cached_property
    def outside(self) -> Any:
        """Covered ground that is not of the field, in the plane."""
        return None if self.outline is None else only_polygons(shapely.difference(self.worked, self.outline.shape))

    def areas(self, ignore_under_m2: float = 0.0) -> Areas:
        """Return the areas on the ellipsoid, corrected by the mean scale of the plane over the ground."""
        true = self._true_scale()
        sizes = None if self.missed is None else shapely.area(shapely.get_parts(self.missed))
        return Areas(
            field_m2=None if self.outline is None else self.outline.area_m2,
            worked_m2=true * self.cover.area(1),
            double_m2=true * self.cover.area(2),
            triple_m2=true * self.cover.area(3),
            applied_m2=true * self.cover.applied,
            missed_m2=None if self.missed is None else true * float(self.missed.area),
            outside_m2=None if self.outside is None else true * float(self.outside.area),
            missed_places=None if sizes is None else len(sizes),
            missed_ignored=None if sizes is None else int((sizes < ignore_under_m2).sum()),
        )

    def places(self, ignore_under_m2: float, late: Mapping[str, Any]) -> dict[str, Any]:
        """Return the polygons of each kind in degrees, without those below a size; see `Coverage.ground`.

        ``late`` is the ground of some kinds that is drawn apart, None where there is none.
        """
        kinds = {"worked": self.worked, "double": self.double, "missed": self.missed, "outside": self.outside}
        for kind, shape in late.items():
            if shape is not None and not shape.is_empty:
                kinds[f"{kind}-late"] = shape
                kinds[kind] = only_polygons(shapely.difference(kinds[kind], shape))
        return {
            kind: shapely.transform(_larger(shape, ignore_under_m2), self.plane.inverse)
            for kind, shape in kinds.items()
            if shape is not None
        }

    def _true_scale(self) -> float:
        """Return area on the ellipsoid by area in the plane: 1 - x²/R² at x metres from the middle meridian."""
        boxes = [work.strips.left[:-1][work.strips.active] for work in self.works]
        x = np.concatenate([places[:, 0] for places in boxes]) if boxes else np.empty(0)
        x = x[np.isfinite(x)]
        return 1.0 - float((x**2).mean()) / EARTH_M**2 if len(x) else 1.0


def _larger(shape: Any, ignore_under_m2: float) -> Any:
    parts = shapely.get_parts(shape)
    return shapely.MultiPolygon(list(parts[shapely.area(parts) >= ignore_under_m2]))

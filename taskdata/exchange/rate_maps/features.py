"""Polygons and points with rates, as ground in a field."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.exchange.rate_maps.layers import RateFeatures
from taskdata.exchange.rate_maps.sources import OwnCells, Site
from taskdata.findings import Finding
from taskdata.geometry.arrays import Points
from taskdata.geometry.lattices import Lattice, lattice_of, nearest_steps
from taskdata.geometry.patches import Shapes, in_metres
from taskdata.geometry.plane import LocalPlane
from taskdata.rates.ground import Notes, RateGround, within, without_overlaps
from taskdata.rates.map_request import LEAST_CELL_M
from taskdata.rates.scattered import spread
from taskdata.results.reading import Datum


@dataclass(frozen=True, eq=False)
class _FeatureSource:
    """Features with rates."""

    features: RateFeatures

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What reading the layer found wrong."""
        return self.features.findings

    @property
    def datum(self) -> tuple[Datum, ...]:
        """How its coordinates were brought to WGS 84."""
        return self.features.datum

    @property
    def left_columns(self) -> tuple[str, ...]:
        """The columns that hold no rates."""
        return self.features.left_columns


class PolygonSource(_FeatureSource):
    """Polygons with rates."""

    def outline(self) -> Shapes:
        """Return the polygons."""
        return self.features.shapes

    def own_cells(self) -> OwnCells | None:
        """Return nothing: polygons come in no cells."""
        return None

    def ground(self, site: Site, notes: Notes) -> RateGround:
        """Return the polygons in a field, freed of overlaps."""
        shapes = in_metres(self.features.shapes, site.plane)
        rates, rows = self.features.rates, self.features.rows
        near = shapely.intersects(shapes, site.field)
        found, chosen = without_overlaps(shapes[near], rates[near], site.rules.overlap, rows[near], notes)
        return within(site.field, np.concatenate([found, shapes[~near]]), np.concatenate([chosen, rates[~near]]), notes)


class PointSource(_FeatureSource):
    """Points with rates: on a lattice each stands for the cell around it, else cells of the field get their means."""

    def own_cells(self) -> OwnCells | None:
        """Return the cells of the lattice, else some as wide as points are usually apart; None if they are at one."""
        lattice, plane = self._lattice, self._plane
        if lattice is not None:
            lon, lat = plane.inverse(lattice.origin)[0].tolist()
            return OwnCells(lattice.step_m, (lon, lat))
        steps, _ = nearest_steps(plane.forward(self._lonlat)) if len(self._lonlat) > 1 else (np.zeros((1, 2)), None)
        apart = np.hypot(*steps.T)
        return OwnCells(max(float(np.median(apart[apart > 0.0])), LEAST_CELL_M)) if apart.any() else None

    @cached_property
    def _lonlat(self) -> Points:
        return np.asarray(shapely.get_coordinates(self.features.shapes))

    @cached_property
    def _plane(self) -> LocalPlane:
        return LocalPlane.centred_on(self._lonlat)

    @cached_property
    def _lattice(self) -> Lattice | None:
        return lattice_of(self._plane.forward(self._lonlat))

    def outline(self) -> Shapes:
        """Return the cells around the points of a lattice.

        Raises
        ------
        UsageError
            The points are irregular.
        """
        if self._lattice is None:
            what = "irregular points have no ground of their own"
            raise UsageError(what, where=self.features.label, remedy="Give the outline of the field with [[boundary]]")
        return np.asarray(shapely.transform(self._lattice.cells(), self._plane.inverse), dtype=object)

    def ground(self, site: Site, notes: Notes) -> RateGround:
        """Return the cells around points in a field, or the cells of the field with means of points."""
        points = site.plane.forward(self._lonlat)
        lattice, rates = lattice_of(points), self.features.rates
        if lattice is None:
            return spread(self._lonlat, rates, site.frame(), notes)
        method = f"{len(points)} points {lattice.step_m:.4g} m apart: each stands for the cell around it."
        return replace(within(site.field, lattice.cells(), rates, notes), method=method)

"""A raster with rates, as ground in a field: each pixel is a patch."""

from __future__ import annotations

from dataclasses import field, replace
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.exchange.rate_maps.sources import OwnCells, Site
from taskdata.findings import Finding
from taskdata.geometry.arrays import Floats
from taskdata.geometry.geodesy import ring_area
from taskdata.geometry.patches import Shapes, lattice_quads
from taskdata.rates.ground import Notes, RateGround, within
from taskdata.rates.map_request import MapRules, WantedRate
from taskdata.rates.usual_rates import ask_about
from taskdata.results.rate_maps import MapNote
from taskdata.results.reading import Datum

_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
_READER = "taskdata.formats.rasters.reading"
"""Loaded by name when a raster is read: the library behind it takes half a second."""


def is_raster(path: Path) -> bool:
    """Tell whether a file is a TIFF by its first bytes."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return file.read(4) in _TIFF


@dataclass(eq=False)
class RasterSource:
    """A raster with rates, read when its ground is asked for.

    Parameters
    ----------
    path : Path
        The file.
    wanted : tuple of WantedRate
        Which bands, in which units.
    rules : MapRules
        Whether rates out of the usual are accepted.
    crs : str or None
        Coordinate reference system of a file that names none.
    """

    path: Path
    wanted: tuple[WantedRate, ...]
    rules: MapRules
    crs: str | None
    _read: list[Any] = field(default_factory=list)

    def _raster(self, bounds: tuple[float, float, float, float] | None) -> Any:
        if not self._read:
            bands = [item.column for item in self.wanted]
            found = import_module(_READER).read_raster(self.path, bands, self.crs, bounds)
            self._read.append(found)
            if not np.isfinite(found.values).any():
                raise UsageError("has no rate: every pixel is nodata", where=self.path, remedy="Name another band")
            if not self.rules.accept_rates:
                ask_about(found.values.reshape(len(bands), -1).T, self.wanted)
        return self._read[0]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What placing the raster found."""
        return tuple(self._raster(None).findings)

    @property
    def datum(self) -> tuple[Datum, ...]:
        """How its coordinates were brought to WGS 84."""
        return tuple(self._raster(None).datum)

    @property
    def left_columns(self) -> tuple[str, ...]:
        """The bands that were not asked for."""
        return tuple(self._raster(None).left)

    def outline(self) -> Shapes:
        """Return the pixels with a rate."""
        raster = self._raster(None)
        known = np.isfinite(raster.values).any(axis=0).ravel()
        return np.asarray(lattice_quads(raster.nodes)[known], dtype=object)

    def own_cells(self) -> OwnCells | None:
        """Return the pixels, as squares of their area."""
        nodes = self._raster(None).nodes
        lon, lat = nodes[:2, :2].reshape(-1, 2).mean(axis=0).tolist()
        return OwnCells(_side(nodes), (lon, lat))

    def ground(self, site: Site, notes: Notes) -> RateGround:
        """Return the pixels in a field."""
        lonlat = site.plane.inverse(shapely.get_coordinates(shapely.envelope(site.field)))
        raster = self._raster((*lonlat.min(axis=0).tolist(), *lonlat.max(axis=0).tolist()))
        nodes = site.plane.forward(raster.nodes.reshape(-1, 2)).reshape(raster.nodes.shape)
        values = raster.values.reshape(len(raster.values), -1).T
        some = np.isfinite(values).any(axis=1)
        if raster.scaled:
            notes.append((MapNote.SCALED, self.path.name))
        found = within(site.field, lattice_quads(nodes)[some], values[some], notes)
        rows, columns = raster.values.shape[1:]
        return replace(found, method=f"A raster of {columns} x {rows} pixels of {_side(raster.nodes):.3g} m.")


def _side(nodes: Floats) -> float:
    """Return the root of the mean area of the cells between nodes in degrees, metres."""
    ring = nodes[[0, 0, -1, -1], [0, -1, -1, 0]]
    rows, columns = (length - 1 for length in nodes.shape[:2])
    return float(np.sqrt(abs(ring_area(ring)) / (rows * columns)))

"""The formats by name."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from taskdata.formats.base import Driver
from taskdata.formats.drivers.geojson import GeoJson
from taskdata.formats.drivers.geopackage import GeoPackage
from taskdata.formats.drivers.geoparquet import GeoParquet
from taskdata.formats.drivers.shapefile import Shapefile

DRIVERS: Mapping[str, Driver] = MappingProxyType(
    {"geojson": GeoJson(), "shapefile": Shapefile(), "gpkg": GeoPackage(), "parquet": GeoParquet()}
)

SINGLE_FILE = frozenset({"gpkg"})
"""Formats whose target is one file; that of the others is a folder of layers."""

"""A layer or a raster as a source of rates."""

from __future__ import annotations

import os
from collections.abc import Sequence

import numpy as np

from taskdata.errors import UsageError
from taskdata.exchange.rate_maps.features import PointSource, PolygonSource
from taskdata.exchange.rate_maps.layers import read_features
from taskdata.exchange.rate_maps.rasters import RasterSource, is_raster
from taskdata.exchange.rate_maps.sources import RateSource
from taskdata.formats.foreign.options import TakeOptions
from taskdata.paths import named_path
from taskdata.rates.ground import Notes
from taskdata.rates.map_request import MapRules, WantedRate
from taskdata.rates.usual_rates import ask_about
from taskdata.results.rate_maps import MapNote


def rate_source(
    layer: str | os.PathLike[str], wanted: Sequence[WantedRate], rules: MapRules, options: TakeOptions, notes: Notes
) -> RateSource:
    """Read what holds rates.

    Parameters
    ----------
    layer : path
        A layer of polygons or points, or a GeoTIFF.
    wanted : sequence of WantedRate
        Which columns, in which units.
    rules : MapRules
        Whether rates out of the usual are accepted.
    options : TakeOptions
        How layers are read.
    notes : list
        What has to be told is added.

    Raises
    ------
    SourceError, UsageError
        It cannot be read; or its rates are missing, negative, no numbers, or out of the usual.
    """
    if is_raster(named_path(layer)):
        return RasterSource(named_path(layer), tuple(wanted), rules, options.crs)
    columns = [item.column for item in wanted]
    if None in columns:
        raise UsageError("the column with the rates is missing", where=layer, remedy="Name it ([[column]])")
    features = read_features(layer, columns, options)
    without = int((~np.isfinite(features.rates)).any(axis=1).sum())
    if without == len(features.rates):
        raise UsageError("no row has a rate", where=features.label, remedy="Name another [[column]]")
    if without:
        notes.append((MapNote.ROWS_WITHOUT_RATE, str(without)))
    if not rules.accept_rates:
        ask_about(features.rates, wanted)
    return PointSource(features) if features.are_points else PolygonSource(features)

"""The columns of a layer that may hold rates, each with what its numbers are, for people who choose by eye."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Unpack

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.exchange.rate_maps.columns import numbers_of
from taskdata.exchange.rate_maps.layers import layers_at
from taskdata.exchange.rate_maps.rasters import is_raster
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import Reading, TakeOptions
from taskdata.paths import named_path


@dataclass(frozen=True, slots=True)
class RateColumn:
    """A column with numbers that may be rates.

    Parameters
    ----------
    layer, name : str
    rows : int
        How many rows have a number in it.
    least, mean, most : float
        Of these rows.
    """

    layer: str
    name: str
    rows: int
    least: float
    mean: float
    most: float


def rate_columns(layer: str | os.PathLike[str], **reading: Unpack[Reading]) -> tuple[RateColumn, ...]:
    """Return the columns of a layer that may hold rates; none of a raster, whose bands are told by their number.

    Raises
    ------
    UsageError, SourceError
        It is no layer, or cannot be read.
    """
    place = named_path(layer)
    if is_raster(place):
        return ()
    tables = layers_at(place, TakeOptions.of(reading)).tables.values()
    return tuple(found for raw in tables for found in _columns(raw))


def _columns(raw: RawTable) -> Iterator[RateColumn]:
    if GEOMETRY not in raw.table.column_names:
        return
    for name in raw.table.column_names:
        try:
            numbers = np.empty(0) if name == GEOMETRY else numbers_of(raw, name)
        except UsageError:  # texts, or numbers that are no rates
            continue
        sound = numbers[np.isfinite(numbers)]
        if len(sound):
            least, mean, most = (float(value) for value in (sound.min(), sound.mean(), sound.max()))
            yield RateColumn(raw.label, name, len(sound), least, mean, most)

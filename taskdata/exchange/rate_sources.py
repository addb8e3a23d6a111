"""What a rate map is read from, as ground with rates: polygons so far as they lie in the field."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import shapely

from taskdata.errors import UsageError
from taskdata.exchange.rate_layers import RateFeatures, read_features
from taskdata.findings import Finding
from taskdata.formats.foreign.options import TakeOptions
from taskdata.geometry.patches import Shapes, in_metres
from taskdata.geometry.plane import LocalPlane
from taskdata.rates.cells import Frame
from taskdata.rates.ground import Notes, RateGround, within, without_overlaps
from taskdata.rates.map_request import MapRules, WantedRate
from taskdata.rates.usual_rates import ask_about
from taskdata.results.rate_maps import MapNote
from taskdata.results.reading import Datum


@dataclass(frozen=True, eq=False)
class Site:
    """Where rates are asked for: the ground of a field in a plane, how, and its cells where they are needed."""

    plane: LocalPlane
    field: Any
    rules: MapRules
    frame: Callable[[], Frame]


class RateSource(Protocol):
    """Something that holds rates."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What reading it found wrong."""

    @property
    def datum(self) -> tuple[Datum, ...]:
        """How its coordinates were brought to WGS 84."""

    @property
    def left_columns(self) -> tuple[str, ...]:
        """The columns that hold no rates."""

    @property
    def spacing_m(self) -> float | None:
        """Side of its own cells; None where it has none."""

    def outline(self) -> Shapes:
        """Return polygons in degrees that make up its ground."""

    def ground(self, site: Site, notes: Notes) -> RateGround:
        """Return its ground in a field."""


@dataclass(frozen=True, eq=False)
class PolygonSource:
    """Polygons with rates."""

    features: RateFeatures
    spacing_m: float | None = None

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

    def outline(self) -> Shapes:
        """Return the polygons."""
        return self.features.shapes

    def ground(self, site: Site, notes: Notes) -> RateGround:
        """Return the polygons in a field, freed of overlaps."""
        shapes = in_metres(self.features.shapes, site.plane)
        rates, rows = self.features.rates, self.features.rows
        near = shapely.intersects(shapes, site.field)
        found, chosen = without_overlaps(shapes[near], rates[near], site.rules.overlap, rows[near], notes)
        return within(site.field, np.concatenate([found, shapes[~near]]), np.concatenate([chosen, rates[~near]]), notes)


def rate_source(
    layer: str | os.PathLike[str], wanted: Sequence[WantedRate], rules: MapRules, options: TakeOptions, notes: Notes
) -> RateSource:
    """Read what holds rates.

    Parameters
    ----------
    layer : path
        A layer of polygons or points.
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
    return PolygonSource(features)

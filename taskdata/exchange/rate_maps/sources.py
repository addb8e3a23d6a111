"""What rates are read from, as whoever makes the map sees it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from taskdata.findings import Finding
from taskdata.geometry.patches import Shapes
from taskdata.geometry.plane import LocalPlane
from taskdata.rates.cells import Frame
from taskdata.rates.ground import Notes, RateGround
from taskdata.rates.map_request import MapRules
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

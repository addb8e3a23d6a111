"""What rates are read from, as whoever makes the map sees it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from taskdata.dataclass import dataclass
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


@dataclass(frozen=True, slots=True)
class OwnCells:
    """Cells that rates come in: their side in metres, and longitude and latitude of the middle of one where known."""

    side_m: float
    middle: tuple[float, float] | None = None


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

    def outline(self) -> Shapes:
        """Return polygons in degrees that make up its ground."""

    def own_cells(self) -> OwnCells | None:
        """Return the cells that its rates come in, None where there are none."""

    def ground(self, site: Site, notes: Notes) -> RateGround:
        """Return its ground in a field."""

"""Very many geometries at once from one array of positions; what is out of order is left to `nested`, one by one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.errors import UnfitError
from taskdata.findings import Finding, Place
from taskdata.formats.geometries.nested import Notes, shape
from taskdata.raised_rules.import_.bad_geometry import RULE as BAD_GEOMETRY
from taskdata.raised_rules.import_.measures_left_out import RULE as MEASURES_LEFT_OUT
from taskdata.raised_rules.import_.open_ring import RULE as OPEN_RING
from taskdata.raised_rules.import_.part_left_out import RULE as PART_LEFT_OUT
from taskdata.raised_rules.import_.text_coordinate import RULE as TEXT_COORDINATE

_TYPES = {"Point": 0, "LineString": 1, "Polygon": 3, "MultiPoint": 4, "MultiLineString": 5, "MultiPolygon": 6}
_FEWEST = {"LineString": (2,), "Polygon": (1, 4), "MultiPoint": (1,), "MultiLineString": (1, 2)}
_FEWEST |= {"MultiPolygon": (1, 1, 4)}
"""How many members the lists round positions have at least, from the outermost inwards."""


def at_once(kind: str, positions: NDArray[np.float64], levels: Sequence[NDArray[np.int64]]) -> Any:
    """Return geometries of one kind.

    Parameters
    ----------
    kind : str
        Name of the geometry in GeoJSON.
    positions : float64 (n, 2) or (n, 3)
    levels : sequence of int64 (k + 1,)
        Where each list begins, and the last one ends, among the members of the level below; the outermost first.

    Raises
    ------
    UnfitError
        A list is too short or a ring is not closed. Nothing may be built of those, since GEOS takes some of them for
        memory that is not there.
    """
    for level, fewest in zip(levels, _FEWEST.get(kind, ()), strict=True):
        if len(level) > 1 and int(np.diff(level).min()) < fewest:
            raise UnfitError("a list of positions is too short")
    if kind.endswith("Polygon"):
        rings = levels[-1]
        if not np.array_equal(positions[rings[:-1]], positions[rings[1:] - 1]):
            raise UnfitError("a ring is not closed")
    offsets = tuple(np.asarray(level) for level in reversed(levels))
    return shapely.from_ragged_array(shapely.GeometryType(_TYPES[kind]), positions, offsets or None)


def in_halves(rows: Sequence[int], many: Callable[[Sequence[int]], Any], one: Callable[[int], Any]) -> list[Any]:
    """Return what ``many`` makes of rows; of halves of them where it raises `UnfitError`, and in the end of ``one``.

    So a fault costs the time of its own row, not that of all.
    """
    try:
        return list(many(rows))
    except UnfitError:
        if len(rows) == 1:
            return [one(rows[0])]
    middle = len(rows) // 2
    return in_halves(rows[:middle], many, one) + in_halves(rows[middle:], many, one)


class Singly:
    """Builds geometries one by one and collects what is wrong with them.

    Parameters
    ----------
    file, layer : str
        For the findings.
    findings : list of Finding
        What is wrong is added here.
    """

    def __init__(self, file: str, layer: str, findings: list[Finding]) -> None:
        self.file = file
        self.layer = layer
        self.findings = findings

    def built(self, geometry: object, row: int) -> Any:
        """Return a geometry of nested lists, None where it cannot be used; ``row`` counts from 1."""
        notes = Notes()
        place = Place(file=self.file, record=row - 1)
        try:
            found = shape(geometry, notes)
        except (UnfitError, shapely.GEOSException) as error:
            why = str(error) if isinstance(error, UnfitError) else "it has no shape"
            self.findings.append(BAD_GEOMETRY.at(place, row=row, layer=self.layer, reason=why))
            return None
        self._tell(place, row, notes)
        return found

    def _tell(self, place: Place, row: int, notes: Notes) -> None:
        where: dict[str, Any] = {"row": row, "layer": self.layer}
        for reason in notes.left_out:
            self.findings.append(PART_LEFT_OUT.at(place, reason=reason, **where))
        if notes.closed:
            self.findings.append(OPEN_RING.at(place, count=counted(notes.closed, "ring"), **where))
        if notes.texts:
            self.findings.append(TEXT_COORDINATE.at(place, **where))
        if notes.longer:
            left = MEASURES_LEFT_OUT.at(Place(file=self.file), layer=self.layer)
            if left not in self.findings:
                self.findings.append(left)

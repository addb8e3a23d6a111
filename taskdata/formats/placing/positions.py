"""All coordinates of a layer, block by block: of points without a shape for each, of anything else by its shapes.

A log holds millions of points; as shapes they need ten times the memory of their bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import pyarrow as pa
import shapely
import shapely.errors
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.formats.geometries.decoding import decoded, with_shapes
from taskdata.formats.spooling import a_few
from taskdata.geometry.arrays import Points
from taskdata.geometry.transform import Transformation

_SAMPLE = 1000
_ROWS = 500_000


class Block(NamedTuple):
    """Coordinates, and the row of each."""

    xy: Points
    rows: NDArray[np.int64]


@dataclass(frozen=True)
class PointRows:
    """Rows that are points of two coordinates or null, as coordinates; NaN where a row is null."""

    parts: tuple[Points, ...]

    def blocks(self) -> Iterator[Block]:
        """Yield all coordinates."""
        first = 0
        for part in a_few(self.parts):
            for start in range(0, len(part), _ROWS):
                xy = np.ascontiguousarray(part[start : start + _ROWS])
                yield Block(xy, np.arange(first + start, first + start + len(xy)))
            first += len(part)

    def moved(self, raw: RawTable, conversion: Transformation) -> Moved:
        """Return a table in WGS 84."""
        chunks, lost = [], list[int]()
        for xy, rows in self.blocks():
            places = conversion.forward(xy)
            gone = np.isfinite(xy).all(axis=1) & ~np.isfinite(places).all(axis=1)
            lost += rows[gone].tolist()
            known = raw.table[GEOMETRY].slice(int(rows[0]), len(rows)).is_valid().to_numpy()
            made = fixed_size_wkb.points(places[:, 0], places[:, 1], known & ~gone)
            chunks.append(made.cast(pa.large_binary()))
        column = pa.chunked_array(chunks, pa.large_binary())
        index = raw.table.column_names.index(GEOMETRY)
        placed = replace(raw, table=raw.table.set_column(index, GEOMETRY, column))
        return Moved(placed, positions_of(placed)[1], lost)


@dataclass(frozen=True)
class ShapeRows:
    """Rows of any kind as shapes."""

    shapes: Any

    def blocks(self) -> Iterator[Block]:
        """Yield all coordinates."""
        yield Block(*shapely.get_coordinates(self.shapes, return_index=True))

    def moved(self, raw: RawTable, conversion: Transformation) -> Moved:
        """Return a table in WGS 84, heights as they stand."""
        shapes = self.shapes
        high = shapely.has_z(shapes)
        moved = shapes.copy()
        moved[~high] = _transformed(shapes[~high], conversion.forward)
        moved[high] = _transformed(
            shapes[high], lambda xyz: np.column_stack([conversion.forward(xyz[:, :2]), xyz[:, 2]]), include_z=True
        )
        broken = shapely.is_missing(moved) & ~shapely.is_missing(shapes)
        before, rows = shapely.get_coordinates(shapes[~broken], return_index=True)
        gone = np.isfinite(before).all(axis=1) & ~np.isfinite(shapely.get_coordinates(moved)).all(axis=1)
        broken[np.flatnonzero(~broken)[np.unique(rows[gone])]] = True
        moved[broken] = None
        lost = np.flatnonzero(broken).tolist()
        return Moved(with_shapes(raw, moved), ShapeRows(moved), lost)


def _transformed(shapes: Any, change: Callable[[Any], Any], *, include_z: bool = False) -> Any:
    """Return shapes with other coordinates; None for a ring that is not closed any more, as one without a place."""
    try:
        return shapely.transform(shapes, change, include_z=include_z)
    except shapely.errors.GEOSException:
        if len(shapes) == 1:
            return np.array([None], dtype=object)
        half = len(shapes) // 2
        parts = shapes[:half], shapes[half:]
        return np.concatenate([_transformed(part, change, include_z=include_z) for part in parts])


Positions: TypeAlias = PointRows | ShapeRows


class Moved(NamedTuple):
    """A table in WGS 84, its coordinates, and the rows that have no place there."""

    table: RawTable
    positions: Positions
    lost: list[int]


def positions_of(raw: RawTable) -> tuple[RawTable, Positions, list[Finding]]:
    """Return a table whose every geometry can be read, its coordinates, and what was wrong with it."""
    parts = [fixed_size_wkb.coordinates(chunk) for chunk in a_few(raw.table[GEOMETRY].chunks)]
    found = tuple(part for part in parts if part is not None)
    if len(found) == len(parts):
        return raw, PointRows(found), []
    raw, shapes, findings = decoded(raw)
    return raw, ShapeRows(shapes), findings


def sample_points(positions: Positions) -> Points | None:
    """Return coordinates from all over a layer, None where it has none."""
    count = sum(len(xy) for xy, _ in positions.blocks())
    step = max(1, count // _SAMPLE)
    some = [xy[np.isfinite(xy).all(axis=1)][::step] for xy, _ in positions.blocks()]
    found = np.vstack(some) if some else np.empty((0, 2))
    return found if len(found) else None

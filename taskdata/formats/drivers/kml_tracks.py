"""Tracks of KML 2.3 (OGC 12-007r2, clause 11), and of the extension of 2.2 that they come from, as logs."""

from __future__ import annotations

from array import array
from itertools import zip_longest
from typing import Any

import numpy as np
import pyarrow as pa
import shapely

from taskdata.dataclass import dataclass
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.drivers.kml_shapes import is_absolute
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.formats.geometries.shapes import to_wkb
from taskdata.formats.markup.events import Node
from taskdata.formats.markup.growing import LOG, Growing
from taskdata.formats.markup.moments import moment

HEIGHTS = "KML counts them from sea level"
"""What heights refer to (OGC 12-007r2, altitudeMode absolute)."""


@dataclass(frozen=True, slots=True)
class Track:
    """A track.

    Parameters
    ----------
    table : pyarrow.Table
        Its positions, with their times.
    timed, high : bool
        Whether a position has a time, and a height above sea level.
    line : bytes or None
        The way as well-known binary; None for fewer than two positions.
    lost : int
        Positions and times that cannot be read or have no counterpart.
    """

    table: pa.Table
    timed: bool
    high: bool
    line: bytes | None
    lost: int


def track(node: Node) -> Track:
    """Return a track, or several that belong together."""
    parts = list(node.all("Track")) if node.tag == "MultiTrack" else [node]
    rows, lines, lost = Growing(LOG), [], 0
    timed = high = False
    for number, part in enumerate(parts, 1):
        absolute, line = is_absolute(part), array("d")
        arrays = _arrays(part)
        pairs = zip_longest(part.all("when"), part.all("coord"))
        for index, (when, coord) in enumerate(pairs):
            at = None if coord is None else _position(coord.text)
            stamp = None if when is None else moment(when.text)
            if at is None:
                lost += coord is None or bool(coord.text.strip())  # an empty one says that none was recorded
                continue
            lost += when is not None and stamp is None
            up = at[2] if absolute and len(at) > 2 else None
            line.extend(at[:2])
            timed, high = timed or stamp is not None, high or up is not None
            row: dict[str, Any] = {name: values[index] for name, values in arrays.items() if index < len(values)}
            place = fixed_size_wkb.position(at[0], at[1])
            rows.add({**row, "time": stamp, "up_m": up, "segment": number, GEOMETRY: place})
        lines += [shapely.LineString(np.array(line).reshape(-1, 2))] if len(line) > 2 else []
    table = rows.table()
    if len(parts) == 1:
        table = table.drop_columns(["segment"])
    way = None if not lines else lines[0] if len(lines) == 1 else shapely.MultiLineString(lines)
    return Track(table, timed, high, to_wkb(way), lost)


def _position(text: str) -> list[float] | None:
    """Return longitude, latitude and height where there is one; None where they are no degrees on Earth."""
    try:
        at = [float(cell) for cell in text.split()]
    except ValueError:
        return None
    sound = len(at) in {2, 3} and np.isfinite(at).all() and abs(at[0]) <= 180.0 and abs(at[1]) <= 90.0
    return at if sound else None


def _arrays(part: Node) -> dict[str, list[str]]:
    """Return further values of each position by name."""
    return {
        _free(array.attributes.get("name", "data")): [value.text.strip() for value in array.all("value")]
        for extended in part.all("ExtendedData")
        for data in extended.all("SchemaData")
        for array in data.all("SimpleArrayData")
    }


def _free(name: str) -> str:
    return f"{name}_data" if name in LOG else name

"""Well-known binary that GEOS does not take, as nested lists of positions (OGC 06-103r4 section 8).

GEOS refuses a record whole whose ring is open or has one point. Taken apart here, the rest of it can be kept.
"""

from __future__ import annotations

from struct import Struct, error
from typing import Any, NamedTuple

from taskdata.errors import UnfitError
from taskdata.formats.geometries.nested import COLLECTION

_NAMES = ("Point", "LineString", "Polygon", "MultiPoint", "MultiLineString", "MultiPolygon", COLLECTION)
_CURVED = range(8, 18)
_HEIGHT_FLAG, _MEASURE_FLAG, _SYSTEM_FLAG = 0x80000000, 0x40000000, 0x20000000
_DEEPEST = 50
_DAMAGED = "its bytes are not a geometry"


class Nested(NamedTuple):
    """An object with ``type`` and ``coordinates``, or ``geometries``; and whether its positions had measures."""

    geometry: dict[str, Any]
    measured: bool


def nested(record: bytes) -> Nested:
    """Return a record as nested lists of positions of two or three numbers.

    Raises
    ------
    UnfitError
        It is damaged, cut off, or has curves.
    """
    reader = _Reader(record)
    try:
        return Nested(reader.geometry(0), reader.measured)
    except (error, IndexError, OverflowError, MemoryError):
        raise UnfitError(_DAMAGED) from None


class _Reader:
    def __init__(self, record: bytes) -> None:
        self.record = record
        self.at = 0
        self.measured = False

    def geometry(self, deep: int) -> dict[str, Any]:
        order = "<" if self.record[self.at] == 1 else ">"
        self.at += 1
        count = Struct(f"{order}I")
        (code,) = self._next(count)
        if code & _SYSTEM_FLAG:
            self._next(count)
        thousands, kind = divmod(code & 0x0FFFFFFF, 1000)
        if kind in _CURVED:
            raise UnfitError("it has curves; save it with straight lines between points")
        if not 1 <= kind <= len(_NAMES) or thousands > 3 or deep > _DEEPEST:
            raise UnfitError(_DAMAGED)
        high = bool(code & _HEIGHT_FLAG) or thousands in (1, 3)
        measured = bool(code & _MEASURE_FLAG) or thousands in (2, 3)
        self.measured = self.measured or measured
        position = Struct(f"{order}{2 + high + measured}d")
        name = _NAMES[kind - 1]
        if kind == 1:
            return {"type": name, "coordinates": self._next(position)[: 2 + high]}
        (members,) = self._next(count)
        if kind == 2:
            return {"type": name, "coordinates": self._positions(position, members, high)}
        if kind == 3:
            rings = [self._positions(position, self._next(count)[0], high) for _ in range(members)]
            return {"type": name, "coordinates": rings}
        parts = [self.geometry(deep + 1) for _ in range(members)]
        if name == COLLECTION:
            return {"type": name, "geometries": parts}
        if any(f"Multi{part['type']}" != name for part in parts):
            raise UnfitError(_DAMAGED)
        return {"type": name, "coordinates": [part["coordinates"] for part in parts]}

    def _next(self, layout: Struct) -> tuple[Any, ...]:
        values = layout.unpack_from(self.record, self.at)
        self.at += layout.size
        return values

    def _positions(self, layout: Struct, count: int, high: bool) -> list[tuple[float, ...]]:
        if self.at + count * layout.size > len(self.record):
            raise UnfitError(_DAMAGED)
        return [self._next(layout)[: 2 + high] for _ in range(count)]

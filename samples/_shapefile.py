"""Write shapefiles byte by byte, so that they are the same whatever libraries are at hand.

The layout follows the ESRI Shapefile Technical Description of July 1998 and the dBASE III table layout.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from _place import Metres

POINT, LINE, POLYGON = 1, 3, 5
ANSI, NO_PAGE = 0x57, 0x00
Parts = Sequence[Sequence[Metres]]


@dataclass(frozen=True, slots=True)
class Column:
    """A table column: name of at most ten characters, C, N or D, width and decimals."""

    name: str
    kind: str
    width: int
    decimals: int = 0

    def cell(self, value: object, encoding: str) -> bytes:
        """Return ``value`` as it stands in a record; None is blank."""
        if value is None:
            return b" " * self.width
        if self.kind == "N":
            return f"{value:{self.width}.{self.decimals}f}".encode("ascii")
        return str(value).encode(encoding)[: self.width].ljust(self.width)


def content(kind: int, parts: Parts | None) -> bytes:
    """Return the content of one shape; None is a null shape."""
    if parts is None:
        return struct.pack("<i", 0)
    if kind == POINT:
        return struct.pack("<idd", POINT, *parts[0][0])
    places = [place for part in parts for place in part]
    starts = [sum(len(part) for part in parts[:i]) for i in range(len(parts))]
    return (
        struct.pack("<i4dii", kind, *bounds(places), len(parts), len(places))
        + struct.pack(f"<{len(starts)}i", *starts)
        + b"".join(struct.pack("<dd", *place) for place in places)
    )


def bounds(places: Sequence[Metres]) -> tuple[float, float, float, float]:
    """Return lowest x and y and highest x and y."""
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return min(xs), min(ys), max(xs), max(ys)


def shapes(kind: int, items: Sequence[Parts | None]) -> tuple[bytes, bytes]:
    """Return the main file and the index file."""
    box = bounds([place for parts in items if parts for part in parts for place in part])
    body, index = b"", b""
    for number, parts in enumerate(items, 1):
        data = content(kind, parts)
        index += struct.pack(">ii", 50 + len(body) // 2, len(data) // 2)
        body += struct.pack(">ii", number, len(data) // 2) + data
    return tuple(_header(kind, len(part), box) + part for part in (body, index))  # type: ignore[return-value]


def table(columns: Sequence[Column], rows: Sequence[Mapping[str, object]], page: int, encoding: str) -> bytes:
    """Return the attribute table; its date of change is always the same day."""
    size = 1 + sum(column.width for column in columns)
    head = struct.pack("<B3BIHH17xBxx", 3, 116, 5, 11, len(rows), 33 + 32 * len(columns), size, page)
    fields = b"".join(
        struct.pack(
            "<11sc4xBB14x", column.name.encode("ascii"), column.kind.encode("ascii"), column.width, column.decimals
        )
        for column in columns
    )
    cells = b"".join(b" " + b"".join(column.cell(row.get(column.name), encoding) for column in columns) for row in rows)
    return head + fields + b"\r" + cells + b"\x1a"


def write_layer(
    stems: Mapping[str, Path],
    kind: int,
    items: Sequence[Parts | None],
    columns: Sequence[Column],
    rows: Sequence[Mapping[str, object]],
    *,
    encoding: str = "cp1252",
) -> None:
    """Write one layer; ``stems`` gives the path of the ``shp``, ``shx`` and ``dbf`` file, in whatever case."""
    main, index = shapes(kind, items)
    stems["shp"].write_bytes(main)
    stems["shx"].write_bytes(index)
    page = ANSI if encoding == "cp1252" else NO_PAGE
    stems["dbf"].write_bytes(table(columns, rows, page, encoding))


def _header(kind: int, size: int, box: tuple[float, float, float, float]) -> bytes:
    return struct.pack(">i20xi", 9994, 50 + size // 2) + struct.pack("<ii4d4d", 1000, kind, *box, 0, 0, 0, 0)

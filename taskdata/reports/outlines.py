"""Small outlines of areas in Braille characters, for a terminal.

A character holds 2 x 4 dots: the Unicode Standard, Braille Patterns (U+2800 to U+28FF), gives each dot a bit.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry import rings
from taskdata.model.shapes import Area, Coordinates

COLUMNS, ROWS = 20, 6
"""The most characters that an outline takes."""
_BITS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]], np.uint8)
_BLANK = 0x2800
_DOWN, _ACROSS = _BITS.shape


def outline(areas: Sequence[Area]) -> list[str]:
    """Return areas as lines of Braille characters, north up: every ring, holes too, as large as the room allows.

    Parameters
    ----------
    areas : sequence of Area
        Degrees. Positions that are not on Earth are left out; across 180 degrees they lie together.

    Returns
    -------
    list of str
        At most `ROWS` lines of at most `COLUMNS` characters; none where nothing has a size.

    Examples
    --------
    >>> import taskdata
    >>> field = taskdata.read("samples/office").field("PFD4")
    >>> len(outline(field.boundaries))
    6
    """
    parts = [_sound(ring) for area in areas for ring in (*area.exteriors, *area.interiors)]
    parts = [part for part in parts if len(part) > 1]
    if not parts:
        return []
    metric = _level(parts)
    low = np.min([part.min(axis=0) for part in metric], axis=0)
    size = np.max([part.max(axis=0) for part in metric], axis=0) - low
    room = np.array([COLUMNS * _ACROSS - 1, ROWS * _DOWN - 1])
    if not (size > 0.0).any():
        return []
    scale = np.min(room[size > 0.0] / size[size > 0.0])
    dots = [np.rint((part - low) * scale).astype(np.int64) for part in metric]
    width, height = np.rint(size * scale).astype(np.int64) + 1
    grid = np.zeros((-(-height // _DOWN) * _DOWN, -(-width // _ACROSS) * _ACROSS), bool)
    for part in dots:
        _draw(grid[height - 1 :: -1], part)
    return _characters(grid)


def _sound(ring: Coordinates) -> Coordinates:
    """Return a ring closed, without positions that are not on Earth."""
    on_earth = (np.abs(ring) <= (180.0, 90.0)).all(axis=1)
    return rings.close(ring[on_earth])


def _level(parts: list[Coordinates]) -> list[Coordinates]:
    """Return parts in degrees of latitude on either axis, longitudes counted from the first."""
    first, middle = parts[0][0, 0], float(np.mean([part[:, 1].mean() for part in parts]))
    shrink = np.cos(np.radians(middle))
    return [np.column_stack([((part[:, 0] - first + 180.0) % 360.0 - 180.0) * shrink, part[:, 1]]) for part in parts]


def _draw(grid: NDArray[np.bool_], dots: NDArray[np.int64]) -> None:
    """Set every dot on the way from each to the next; equal ways are gone once, so that their number is bounded."""
    ways = np.unique(np.hstack([dots[:-1], dots[1:]]), axis=0)
    start, step = ways[:, :2], ways[:, 2:] - ways[:, :2]
    most = max(int(np.abs(step).max()), 1)
    for count in range(most + 1):
        x, y = np.rint(start + step * (count / most)).astype(np.int64).T
        grid[y, x] = True


def _characters(grid: NDArray[np.bool_]) -> list[str]:
    """Return a grid of dots, whole characters wide and high, as lines without blanks at their ends."""
    down, across = grid.shape
    cells = grid.reshape(down // _DOWN, _DOWN, across // _ACROSS, _ACROSS)
    codes = (cells * _BITS[None, :, None, :]).sum(axis=(1, 3))
    return ["".join(chr(_BLANK + code) if code else " " for code in row).rstrip() for row in codes.tolist()]

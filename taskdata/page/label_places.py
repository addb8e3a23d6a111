"""Where the label of a shape stands on a map, in degrees."""

from __future__ import annotations

import numpy as np

from taskdata.page.scene import Coordinates, Form, Shape

_LONGEST = 60


def label_of(shape: Shape) -> str:
    """Return what stands on the map beside a shape, cut where it would be too long for one."""
    return shape.label if len(shape.label) <= _LONGEST else f"{shape.label[: _LONGEST - 1]}…"


def label_place(shape: Shape) -> tuple[float, float]:
    """Return longitude and latitude: the middle of the largest part of an area, of a line, or of a point."""
    part = max((part for parts in shape.parts for part in parts[:1]), key=len)
    if shape.form is Form.AREA and len(part) > 3:
        return _middle(part)
    lon, lat = part[len(part) // 2].tolist() if len(part) > 2 else part.mean(axis=0).tolist()
    return lon, lat


def _middle(ring: Coordinates) -> tuple[float, float]:
    """Return the middle of the longest stretch inside a ring, half way up."""
    y = float(ring[:, 1].min() + ring[:, 1].max()) / 2.0
    above = ring[:, 1] > y
    at = np.flatnonzero(above[1:] != above[:-1])
    share = (y - ring[at, 1]) / (ring[at + 1, 1] - ring[at, 1])
    crossings = np.sort(ring[at, 0] + share * (ring[at + 1, 0] - ring[at, 0]))
    if len(crossings) < 2:
        return float(ring[0, 0]), float(ring[0, 1])
    left, right = crossings[:-1:2], crossings[1::2]
    widest = int(np.argmax(right - left))
    return float(left[widest] + right[widest]) / 2.0, y

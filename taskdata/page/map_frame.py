"""The frame of a drawn map: a plane in metres, the picture's pixels, a scale bar and degrees along the edge."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.geometry.plane import LocalPlane
from taskdata.page.scene import Coordinates

_MARGIN = 0.06
_LEAST_M = 40.0
_NICE = (1.0, 2.0, 5.0, 10.0)
_TICKS = 5


@dataclass(frozen=True, slots=True)
class Frame:
    """Where degrees lie in a picture.

    Parameters
    ----------
    plane : LocalPlane
    west, north : float
        Metres of the upper left corner in the plane.
    scale : float
        Pixels a metre.
    width, height : float
        Pixels.
    """

    plane: LocalPlane
    west: float
    north: float
    scale: float
    width: float
    height: float

    def pixels(self, lonlat: Coordinates) -> Coordinates:
        """Return (n, 2) pixels from the upper left corner for (n, 2) degrees."""
        metres = self.plane.forward(lonlat)
        return np.column_stack([(metres[:, 0] - self.west) * self.scale, (self.north - metres[:, 1]) * self.scale])

    def ticks(self) -> Iterator[tuple[str, float, float]]:
        """Yield degrees along the lower and the left edge: ``lon`` or ``lat``, the value, and pixels along the edge."""
        corners = [
            [self.west, self.north - self.height / self.scale],
            [self.west + self.width / self.scale, self.north],
        ]
        (west, south), (east, north) = self.plane.inverse(np.array(corners)).tolist()
        for value in _round_values(west, east):
            yield "lon", value, float(self.pixels(np.array([[value, south]]))[0, 0])
        for value in _round_values(south, north):
            yield "lat", value, float(self.pixels(np.array([[west, value]]))[0, 1])

    def bar(self, unit_m: float) -> tuple[float, float]:
        """Return a length for a scale bar, as a round number of units of so many metres, and its pixels."""
        most = self.width / self.scale / 4.0 / unit_m
        length = _nice(most)
        return length, length * unit_m * self.scale


def frame_of(bounds: tuple[float, float, float, float], width: float, highest: float) -> Frame:
    """Return the frame of a picture that shows a box of degrees with a margin."""
    west, south, east, north = bounds
    edge = np.array([[west, south], [east, south], [east, north], [west, north], [(west + east) / 2.0, north]])
    plane = LocalPlane.centred_on(edge)
    metres = plane.forward(edge)
    low, high = metres.min(axis=0), metres.max(axis=0)
    size = np.maximum(high - low, _LEAST_M)
    middle, size = (low + high) / 2.0, size * (1.0 + 2.0 * _MARGIN)
    scale = min(width / float(size[0]), highest / float(size[1]))
    height = max(min(highest, float(size[1]) * scale), width / 3.0)
    return Frame(
        plane,
        float(middle[0]) - width / scale / 2.0,
        float(middle[1]) + height / scale / 2.0,
        scale,
        width,
        height,
    )


def _nice(most: float) -> float:
    """Return the largest of 1, 2, 5, 10 ... that is not above a number."""
    power = 10.0 ** math.floor(math.log10(most))
    return max(step for step in _NICE if step * power <= most * (1.0 + 1e-9)) * power


def _round_values(low: float, high: float) -> list[float]:
    """Return a few round numbers between two others."""
    span = high - low
    if not math.isfinite(span) or span <= 0.0:
        return []
    step = _nice(span / _TICKS * 2.0)
    return [number * step for number in range(math.ceil(low / step), math.floor(high / step) + 1)]

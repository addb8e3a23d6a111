"""Lines with fewer points where a map has more of them than a browser draws at ease."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely

from taskdata.dataclass import dataclass
from taskdata.page.scene import Coordinates, Form, Scene, SceneLayer, Shape

_LEAST_RING = 4


@dataclass(frozen=True, slots=True)
class Budget:
    """How many points lines may have together, and by how many degrees they may move for that, finest and coarsest."""

    points: int
    finest_deg: float
    coarsest_deg: float


SCENE = Budget(60_000, 2e-7, 5e-4)
"""Of all outlines and lines of a map; nothing moves by more than about 50 m, by far less where fewer have to go."""


def points_of(scene: Scene) -> int:
    """Return how many points a scene is drawn with."""
    return sum(len(part) for layer in scene.layers for shape in layer.shapes for parts in shape.parts for part in parts)


def thinned(scene: Scene, budget: Budget = SCENE) -> Scene:
    """Return a scene of about as many points as are drawn at ease; points and findings all stay."""
    count, parts = points_of(scene), [part for layer in scene.layers for part in _lines(layer)]
    if count <= budget.points or not parts:
        return scene
    marks = count - sum(map(len, parts))
    slim = iter(thinned_lines(parts, replace(budget, points=budget.points - marks)))
    return replace(scene, layers=[_layer(layer, slim) for layer in scene.layers])


def thinned_lines(parts: Sequence[Coordinates], budget: Budget) -> list[Coordinates]:
    """Return lines and rings of about as many points as a budget allows: those stay that bend them most.

    Each is thinned by itself, so that the slower way that keeps parts of one shape apart would gain nothing.
    """
    sizes = np.array([len(part) for part in parts])
    if int(sizes.sum()) <= budget.points:
        return list(parts)
    lines = shapely.linestrings(np.vstack(parts), indices=np.repeat(np.arange(len(parts)), sizes))

    def slim(doublings: int) -> npt.NDArray[np.object_]:
        tolerance = budget.finest_deg * 2.0**doublings
        return np.asarray(shapely.simplify(lines, tolerance, preserve_topology=False), dtype=object)

    def fits(doublings: int) -> bool:
        return int(shapely.get_num_coordinates(slim(doublings)).sum()) <= budget.points

    most = math.floor(math.log2(budget.coarsest_deg / budget.finest_deg))
    found = slim(bisect_left(range(most), True, key=fits))
    coordinates, of = shapely.get_coordinates(found, return_index=True)
    pieces = np.split(coordinates, np.searchsorted(of, np.arange(1, len(parts))))
    return [_kept(part, piece) for part, piece in zip(parts, pieces, strict=True)]


def _lines(layer: SceneLayer) -> Iterator[Coordinates]:
    shapes = (shape for shape in layer.shapes if shape.form is not Form.POINT)
    return (part for shape in shapes for parts in shape.parts for part in parts)


def _layer(layer: SceneLayer, slim: Iterator[Coordinates]) -> SceneLayer:
    return replace(layer, shapes=[_shape(shape, slim) for shape in layer.shapes])


def _shape(shape: Shape, slim: Iterator[Coordinates]) -> Shape:
    if shape.form is Form.POINT:
        return shape
    return replace(shape, parts=[[next(slim) for _ in parts] for parts in shape.parts])


def _kept(part: Coordinates, slim: Coordinates) -> Coordinates:
    """Return the thinned part, or the whole one where a ring would fall together."""
    closed = len(part) >= _LEAST_RING and bool((part[0] == part[-1]).all())
    return part if closed and len(slim) < _LEAST_RING else slim

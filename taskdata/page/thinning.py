"""Shapes with fewer points where a map has more of them than a browser draws at ease."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely

from taskdata.page.scene import Coordinates, Form, Scene, Shape

Lines = npt.NDArray[np.object_]

MOST_POINTS = 60_000
"""So many points of outlines and lines a map is drawn with."""
_FINEST_DEG = 2e-7
_COARSEST_DEG = 5e-4
_LEAST_RING = 4


def points_of(scene: Scene) -> int:
    """Return how many points a scene is drawn with."""
    return sum(len(part) for layer in scene.layers for shape in layer.shapes for parts in shape.parts for part in parts)


def thinned(scene: Scene, most: int = MOST_POINTS) -> Scene:
    """Return a scene of about as many points as are drawn at ease: those stay that bend outlines and lines most.

    Nothing moves by more than `_COARSEST_DEG` degrees, about 50 m at the most, and by far less where fewer points have
    to go.
    """
    count = points_of(scene)
    parts = [
        part
        for layer in scene.layers
        for shape in layer.shapes
        if shape.form is not Form.POINT
        for parts in shape.parts
        for part in parts
    ]
    if count <= most or not parts:
        return scene
    sizes = np.array([len(part) for part in parts])
    lines = shapely.linestrings(np.vstack(parts), indices=np.repeat(np.arange(len(parts)), sizes))
    kept = _slim(lines, most - (count - int(sizes.sum())))
    slim = iter([_kept(part, shapely.get_coordinates(line)) for part, line in zip(parts, kept, strict=True)])
    layers = [replace(layer, shapes=[_shape(shape, slim) for shape in layer.shapes]) for layer in scene.layers]
    return replace(scene, layers=layers)


def _slim(lines: Lines, most: int) -> Lines:
    """Return lines of so many points in all where that is possible, of the first tolerance that gets there.

    Each line is thinned by itself, so that the slower way that keeps parts of one shape apart gains nothing.
    """
    tolerance = _FINEST_DEG
    while True:
        found: Lines = shapely.simplify(lines, tolerance, preserve_topology=False)
        if int(shapely.get_num_coordinates(found).sum()) <= most or tolerance >= _COARSEST_DEG:
            return found
        tolerance *= 2.0


def _shape(shape: Shape, slim: Iterator[Coordinates]) -> Shape:
    if shape.form is Form.POINT:
        return shape
    return replace(shape, parts=[[next(slim) for _ in parts] for parts in shape.parts])


def _kept(part: Coordinates, slim: Coordinates) -> Coordinates:
    """Return the thinned part, or the whole one where a ring would fall together."""
    closed = len(part) >= _LEAST_RING and bool((part[0] == part[-1]).all())
    return part if closed and len(slim) < _LEAST_RING else slim

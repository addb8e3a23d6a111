"""What a map shows: shapes in degrees, gathered in layers, each with a style of the palette and facts for people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass

Coordinates = NDArray[np.float64]
_LEAST_REACH_DEG = 0.005
"""What another set has within this of the set, or within its size, is in sight when the map opens."""


class Form(StrEnum):
    """What shapes are."""

    AREA = "area"
    LINE = "line"
    POINT = "point"


@dataclass(frozen=True, slots=True)
class Shape:
    """One thing on the map.

    Parameters
    ----------
    form : Form
    parts : sequence of sequence of float64 (n, 2)
        Longitude and latitude in degrees. Of an area a list of polygons, each its outer ring and its holes; of lines
        and points a list of one list with a line, or all points, each.
    style : str
        Name in the palette.
    title : str
        What it is, with its name.
    facts : sequence of (str, str)
        Label and value.
    label : str
        What stands on the map beside it; blank = nothing.
    arrow : bool
        Show the direction of a line.
    mark : str
        What findings, differences or changes that are shown here are called in the page, with blanks between; blank =
        none.
    """

    form: Form
    parts: Sequence[Sequence[Coordinates]]
    style: str
    title: str
    facts: Sequence[tuple[str, str]] = ()
    label: str = ""
    arrow: bool = False
    mark: str = ""


@dataclass(frozen=True, slots=True)
class SceneLayer:
    """Shapes that are shown and hidden together.

    Parameters
    ----------
    name : str
        Unique in its scene.
    label : str
        What people read.
    shapes : sequence of Shape
        From the lowest to the topmost.
    legend : sequence of (str, str)
        Style and words of each entry; blank = the label of the layer alone, in the style of the first shape.
    shown : bool
        Whether the layer is on at first.
    note : str
        What to know of it, such as that it was thinned.
    beside : bool
        It shows another set, which the map is not opened on where that lies far away.
    """

    name: str
    label: str
    shapes: Sequence[Shape]
    legend: Sequence[tuple[str, str]] = ()
    shown: bool = True
    note: str = ""
    beside: bool = False


@dataclass(frozen=True, slots=True)
class Scene:
    """Layers from the lowest to the topmost, and the box of all of them in degrees: west, south, east, north.

    ``bounds`` is None where nothing has a place. Longitudes are continuous: east may be larger than 180.
    """

    layers: Sequence[SceneLayer] = field(default_factory=tuple)
    bounds: tuple[float, float, float, float] | None = None


def scene_of(layers: Iterable[SceneLayer]) -> Scene:
    """Return a scene of the layers that hold something."""
    kept = [layer for layer in layers if layer.shapes]
    return Scene(kept, _bounds(kept))


def marks_of(scene: Scene) -> set[str]:
    """Return what is on the map under a name of its own."""
    return {mark for layer in scene.layers for shape in layer.shapes for mark in shape.mark.split()}


def _bounds(layers: Sequence[SceneLayer]) -> tuple[float, float, float, float] | None:
    box, beside = (_corners([layer for layer in layers if layer.beside is side]) for side in (False, True))
    if not len(box):
        box = beside
    elif len(beside):
        low, high = box[:, :2].min(axis=0), box[:, 2:].max(axis=0)
        reach = np.maximum(high - low, _LEAST_REACH_DEG)
        near = (beside[:, :2] >= low - reach).all(axis=1) & (beside[:, 2:] <= high + reach).all(axis=1)
        box = np.vstack([box, beside[near]])
    if not len(box):
        return None
    west, south = box[:, :2].min(axis=0).tolist()
    east, north = box[:, 2:].max(axis=0).tolist()
    return west, south, east, north


def _corners(layers: Sequence[SceneLayer]) -> Coordinates:
    """Return (n, 4) degrees, the box of each part."""
    boxes = [
        (*part.min(axis=0).tolist(), *part.max(axis=0).tolist())
        for layer in layers
        for shape in layer.shapes
        for parts in shape.parts
        for part in parts
        if len(part)
    ]
    return np.array(boxes, dtype=np.float64).reshape(-1, 4)

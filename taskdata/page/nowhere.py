"""Positions of damaged sets that lie nowhere on the earth: no map can show them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from taskdata.page.scene import Coordinates, Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.translations import N_

_MOST = (540.0, 90.0)
"""Degrees of longitude, which go on past 180 where a shape crosses the antimeridian, and of latitude."""


def on_earth(layer: SceneLayer, word: Wording) -> SceneLayer:
    """Return a layer without positions that lie nowhere on the earth; its note counts them."""
    parts = [part for shape in layer.shapes for parts in shape.parts for part in parts]
    nowhere = sum(_nowhere(part) for part in parts)
    if not nowhere:
        return layer
    shapes = [shape for shape in map(_cut, layer.shapes) if shape.parts]
    text = N_("{count} of {total} positions of {layer} lie nowhere on the earth and are not drawn.")
    said = word.t(text, layer=layer.label, total=sum(map(len, parts)), count=nowhere)
    return replace(layer, shapes=shapes, note=f"{layer.note} {said}".strip())


def _nowhere(part: Coordinates) -> int:
    """Return how many positions of a part lie nowhere; most have none, which two numbers tell (NaN is not below)."""
    if len(part) == 0 or (np.abs(part).max(axis=0) <= _MOST).all():
        return 0
    return int((~(np.abs(part) <= _MOST).all(axis=1)).sum())


def _cut(shape: Shape) -> Shape:
    least = {Form.AREA: 4, Form.LINE: 2, Form.POINT: 1}[shape.form]
    parts = [[part[(np.abs(part) <= _MOST).all(axis=1)] for part in parts] for parts in shape.parts]
    if shape.form is Form.AREA:  # holes go with their outer ring
        parts = [group for group in parts if group and len(group[0]) >= least]
    kept = [[part for part in group if len(part) >= least] for group in parts]
    return replace(shape, parts=[group for group in kept if group])

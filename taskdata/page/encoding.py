"""A scene as the JSON that the page's map reads: coordinates as whole steps of 1e-7 degree from point to point."""

from __future__ import annotations

from typing import Any

import numpy as np

from taskdata.page.scene import Coordinates, Scene, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import Style, styles

STEPS = 1e7
"""Steps a degree; one is about a centimetre."""


def scene_document(scene: Scene, word: Wording, texts: dict[str, str]) -> dict[str, Any]:
    """Return what the map draws and says.

    Parameters
    ----------
    texts : dict of str to str
        What the map says itself, by name.
    """
    used = {shape.style for layer in scene.layers for shape in layer.shapes}
    used |= {style for layer in scene.layers for style, _ in layer.legend}
    return {
        "language": word.language,
        "units": word.units,
        "bounds": None if scene.bounds is None else list(scene.bounds),
        "styles": {name: _style(styles()[name]) for name in sorted(used)},
        "layers": [_layer(layer) for layer in scene.layers],
        "texts": texts,
    }


def _layer(layer: SceneLayer) -> dict[str, Any]:
    return {
        "name": layer.name,
        "label": layer.label,
        "legend": [list(entry) for entry in layer.legend],
        "note": layer.note,
        "shown": layer.shown,
        "shapes": [_shape(shape) for shape in layer.shapes],
    }


def _shape(shape: Shape) -> dict[str, Any]:
    found: dict[str, Any] = {
        "form": str(shape.form),
        "style": str(shape.style),
        "title": shape.title,
        "parts": [[_steps(part) for part in parts] for parts in shape.parts],
    }
    if shape.facts:
        found["facts"] = [list(fact) for fact in shape.facts]
    if shape.label:
        found["label"] = shape.label
    if shape.arrow:
        found["arrow"] = True
    if shape.mark:
        found["mark"] = shape.mark
    return found


def _steps(part: Coordinates) -> list[int]:
    whole = np.rint(part * STEPS).astype(np.int64)
    return np.diff(whole, axis=0, prepend=np.zeros((1, 2), dtype=np.int64)).ravel().tolist()


def _style(style: Style) -> dict[str, Any]:
    return {
        "fill": style.fill,
        "stroke": style.stroke,
        "width": style.width,
        "dash": style.dash,
        "pattern": style.pattern,
        "opacity": style.opacity,
    }

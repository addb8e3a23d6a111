"""A scene as the JSON that the page's map reads.

Coordinates are whole steps of 1e-7 degree from point to point, longitude and latitude in turn, as text: each number is
doubled, a negative one less one of its size (zigzag), and cut into five bits a letter, the lowest first; a letter of
the second half of the alphabet goes on with the next one. Facts name their label by its number in a list.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from taskdata.page.label_places import label_of, label_place
from taskdata.page.scene import Coordinates, Scene, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import Style, styles

STEPS = 1e7
"""Steps a degree; one is about a centimetre."""
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
_LETTERS = np.frombuffer(ALPHABET.encode(), dtype=np.uint8)
_BITS, _MORE = 5, 32


def scene_document(scene: Scene, word: Wording, texts: dict[str, str]) -> dict[str, Any]:
    """Return what the map draws and says.

    Parameters
    ----------
    texts : dict of str to str
        What the map says itself, by name.
    """
    labels = {label: None for layer in scene.layers for shape in layer.shapes for label, _ in shape.facts}
    numbers = {label: number for number, label in enumerate(labels)}
    used = {shape.style for layer in scene.layers for shape in layer.shapes}
    used |= {style for layer in scene.layers for style, _ in layer.legend}
    return {
        "language": word.language,
        "units": word.units,
        "bounds": None if scene.bounds is None else list(scene.bounds),
        "styles": {name: _style(styles()[name]) for name in sorted(used)},
        "labels": list(labels),
        "layers": [_layer(layer, numbers) for layer in scene.layers],
        "texts": texts,
    }


def _layer(layer: SceneLayer, numbers: dict[str, int]) -> dict[str, Any]:
    return {
        "name": layer.name,
        "label": layer.label,
        "legend": [list(entry) for entry in layer.legend],
        "note": layer.note,
        "shown": layer.shown,
        "shapes": [_shape(shape, numbers) for shape in layer.shapes],
    }


def _shape(shape: Shape, numbers: dict[str, int]) -> dict[str, Any]:
    found: dict[str, Any] = {
        "form": str(shape.form),
        "style": str(shape.style),
        "title": shape.title,
        "parts": [[_steps(part) for part in parts] for parts in shape.parts],
    }
    if shape.facts:
        found["facts"] = [[numbers[label], value] for label, value in shape.facts]
    if shape.label:
        found["label"] = label_of(shape)
        found["place"] = _steps(np.array([label_place(shape)]))
    if shape.arrow:
        found["arrow"] = True
    if shape.mark:
        found["mark"] = shape.mark
    return found


def _steps(part: Coordinates) -> str:
    whole = np.rint(part * STEPS).astype(np.int64)
    steps = np.diff(whole, axis=0, prepend=np.zeros((1, 2), dtype=np.int64)).ravel()
    doubled = steps << 1 ^ steps >> 63
    letters = np.ones(len(doubled), dtype=np.int64)
    left = doubled >> _BITS
    while left.any():
        letters += left > 0
        left >>= _BITS
    place = np.arange(int(letters.sum())) - np.repeat(np.cumsum(letters) - letters, letters)
    five = np.repeat(doubled, letters) >> _BITS * place & _MORE - 1
    return _LETTERS[five + _MORE * (place < np.repeat(letters, letters) - 1)].tobytes().decode("ascii")


def _style(style: Style) -> dict[str, Any]:
    return {
        "fill": style.fill,
        "stroke": style.stroke,
        "width": style.width,
        "dash": style.dash,
        "pattern": style.pattern,
        "opacity": style.opacity,
    }

"""A scene as the JSON that the page's map reads.

Coordinates are whole steps of 1e-7 degree from point to point, longitude and latitude in turn, as text: each number is
doubled, a negative one less one of its size (zigzag), and cut into five bits a letter, the lowest first; a letter of
the second half of the alphabet goes on with the next one. Facts name their label by its number in a list.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
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
    texts_of = iter(_texts([part for layer in scene.layers for shape in layer.shapes for part in _parts(shape)]))
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
        "layers": [_layer(layer, numbers, texts_of) for layer in scene.layers],
        "texts": texts,
    }


def _layer(layer: SceneLayer, numbers: dict[str, int], texts: Iterator[str]) -> dict[str, Any]:
    return {
        "name": layer.name,
        "label": layer.label,
        "legend": [list(entry) for entry in layer.legend],
        "note": layer.note,
        "shown": layer.shown,
        "shapes": [_shape(shape, numbers, texts) for shape in layer.shapes],
    }


def _shape(shape: Shape, numbers: dict[str, int], texts: Iterator[str]) -> dict[str, Any]:
    found: dict[str, Any] = {
        "form": str(shape.form),
        "style": str(shape.style),
        "title": shape.title,
        "parts": [[next(texts) for _ in parts] for parts in shape.parts],
    }
    if shape.facts:
        found["facts"] = [[numbers[label], value] for label, value in shape.facts]
    if shape.label:
        found["label"] = label_of(shape)
        found["place"] = next(texts)
    if shape.arrow:
        found["arrow"] = True
    if shape.mark:
        found["mark"] = shape.mark
    return found


def _parts(shape: Shape) -> Iterator[Coordinates]:
    """Yield all coordinates of a shape, and where its label stands."""
    for parts in shape.parts:
        yield from parts
    if shape.label:
        yield np.array([label_place(shape)])


def _texts(parts: Sequence[Coordinates]) -> list[str]:
    """Return the text of each run of coordinates; all are made at once."""
    whole = np.rint(np.vstack([np.empty((0, 2)), *parts]) * STEPS).astype(np.int64)
    sizes = np.array([0, *map(len, parts)])
    ends = np.cumsum(sizes)
    steps = np.diff(whole, axis=0, prepend=np.zeros((1, 2), dtype=np.int64))
    first = ends[:-1][sizes[1:] > 0]
    steps[first] = whole[first]
    doubled = steps.ravel() << 1 ^ steps.ravel() >> 63
    letters = np.ones(len(doubled), dtype=np.int64)
    left = doubled >> _BITS
    while left.any():
        letters += left > 0
        left >>= _BITS
    after = np.append(0, np.cumsum(letters))
    place = np.arange(int(after[-1])) - np.repeat(after[:-1], letters)
    five = np.repeat(doubled, letters) >> _BITS * place & _MORE - 1
    text = _LETTERS[five + _MORE * (place < np.repeat(letters, letters) - 1)].tobytes().decode("ascii")
    return [text[low:high] for low, high in pairwise(after[2 * ends].tolist())]


def _style(style: Style) -> dict[str, Any]:
    return {
        "fill": style.fill,
        "stroke": style.stroke,
        "width": style.width,
        "dash": style.dash,
        "pattern": style.pattern,
        "opacity": style.opacity,
    }

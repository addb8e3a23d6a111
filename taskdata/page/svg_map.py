"""The map as a picture in SVG, the same to the byte for the same scene."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from xml.sax.saxutils import escape

import numpy as np
import shapely

from taskdata.page.label_places import label_of, label_place
from taskdata.page.map_frame import Frame, frame_of
from taskdata.page.scene import Coordinates, Form, Scene, SceneLayer, Shape
from taskdata.page.swatches import definitions, mark, paint, symbol
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.reports.inspect_text import FOOT_M
from taskdata.translations import N_
from taskdata.visible import visible, visible_xml

Box = tuple[float, float, float, float]
"""Left, top, right and bottom in pixels."""

WIDTH, HIGHEST = 960.0, 1100.0
DEGREES = {
    "N": N_("{degrees}° N"),
    "S": N_("{degrees}° S"),
    "E": N_("{degrees}° E"),
    "W": N_("{degrees}° W"),
}
"""Degrees at the edge, by the letter of the direction."""
_EDGE = 34.0
_ROW = 20.0
_COLUMN = 320.0
_THIN_PX = 0.25
_LABEL_PX, _ABOVE_PX = 13.0, 9.0
_DEGREE_DIGITS = range(3, 9)
_DIGITS = 4
"""Of pixels: what differs in the last digits of a computation decides nowhere which point of a curve is left out."""


def svg_map(scene: Scene, word: Wording, title: str, prefix: str = "m-") -> str:
    """Return a picture of a scene with legend, scale bar, north and degrees at the edge.

    Parameters
    ----------
    scene : Scene
    word : Wording
    title : str
        What it shows; screen readers say it.
    prefix : str
        What the identifiers in it begin with.
    """
    if scene.bounds is None:
        return _empty(word.t("Nothing in this source has a place that could be drawn."), title)
    frame = frame_of(scene.bounds, WIDTH, HIGHEST)
    drawn = _in_pixels(scene, frame)
    names = {shape.style for layer in scene.layers for shape in layer.shapes}
    legend = list(_legend(scene))
    names |= {name for name, _ in legend}
    rows = math.ceil(len(legend) / int(WIDTH // _COLUMN))
    width, height = frame.width + 2.0 * _EDGE, frame.height + 2.0 * _EDGE + rows * _ROW + 8.0
    body = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        f'font-family="system-ui, sans-serif" font-size="12" fill="#222">',
        f"<title>{escape(visible(title))}</title>",
        f'<defs>{definitions(names, prefix)}<clipPath id="{prefix}frame">'
        f'<rect width="{frame.width:.0f}" height="{frame.height:.0f}"/></clipPath></defs>',
        f'<rect width="{width:.0f}" height="{height:.0f}" fill="#fff"/>',
        f'<g transform="translate({_EDGE:.0f} {_EDGE:.0f})">',
        f'<rect width="{frame.width:.0f}" height="{frame.height:.0f}" fill="#faf8f3"/>',
        f'<g clip-path="url(#{prefix}frame)">',
        *_shapes(drawn, prefix),
        *_labels(drawn, frame),
        "</g>",
        f'<rect width="{frame.width:.0f}" height="{frame.height:.0f}" fill="none" stroke="#555"/>',
        *_ticks(frame, word),
        *_scale_bar(frame, word),
        *_north(frame, word),
        "</g>",
        *(_entry(number, name, words, frame, prefix) for number, (name, words) in enumerate(legend)),
        "</svg>",
    ]
    return visible_xml("\n".join(body)) + "\n"


def _in_pixels(scene: Scene, frame: Frame) -> list[SceneLayer]:
    """Return the layers that are shown with pixels in the place of degrees."""
    layers = [layer for layer in scene.layers if layer.shown]
    parts = [part for layer in layers for shape in layer.shapes for parts in shape.parts for part in parts]
    pixels = np.round(frame.pixels(np.vstack([np.empty((0, 2)), *parts])), _DIGITS)
    split = iter(np.split(pixels, np.cumsum([len(part) for part in parts])))
    return [
        replace(
            layer,
            shapes=[
                replace(shape, parts=[[next(split) for _ in parts] for parts in shape.parts]) for shape in layer.shapes
            ],
        )
        for layer in layers
    ]


def _shapes(layers: Sequence[SceneLayer], prefix: str) -> Iterator[str]:
    for layer in layers:
        yield f'<g id="{prefix}{escape(layer.name, {chr(34): "&quot;"})}">'
        for (form, name), shapes in groupby(layer.shapes, key=lambda shape: (shape.form, shape.style)):
            if form is Form.POINT:
                yield from (mark(name, x, y) for shape in shapes for part in _runs(shape) for x, y in part.tolist())
            else:
                rule = ' fill-rule="evenodd"' if form is Form.AREA else ""
                paths = (path for shape in shapes for path in _paths(shape))
                yield "\n".join((f"<g {paint(styles()[name], prefix)}{rule}>", *paths, "</g>"))
        yield "</g>"


def _runs(shape: Shape) -> Iterator[Coordinates]:
    return (part for parts in shape.parts for part in parts)


def _paths(shape: Shape) -> Iterator[str]:
    """Yield a line or area, and the heads of its arrows; the group around them says how they look."""
    closed = shape.form is Form.AREA
    path = "".join(_path(part, closed=closed) for part in _runs(shape))
    if path:
        yield f'<path d="{path}"/>'
    if shape.arrow:
        for part in _runs(shape):
            yield from _arrow(part, styles()[shape.style].stroke)


def _path(pixels: Coordinates, *, closed: bool) -> str:
    """Return a path of a line or ring, without points that nobody could see."""
    pixels = pixels[np.isfinite(pixels).all(axis=1)]
    if len(pixels) < 2:
        return ""
    slim = shapely.get_coordinates(shapely.simplify(shapely.linestrings(pixels), _THIN_PX))
    kept = pixels if closed and len(slim) < 4 else slim
    steps = [f"{x:.1f} {y:.1f}" for x, y in (kept[:-1] if closed else kept).tolist()]
    return f"M{'L'.join(steps)}{'Z' if closed else ''}"


def _arrow(pixels: Coordinates, colour: str) -> Iterator[str]:
    """Yield the head of an arrow in the middle of a line."""
    pixels = pixels[np.isfinite(pixels).all(axis=1)]
    line = shapely.linestrings(pixels) if len(pixels) > 1 else None
    if line is None or float(shapely.length(line)) < 4.0:
        return
    half = float(shapely.length(line)) / 2.0
    (x, y), (ahead_x, ahead_y) = (
        shapely.get_coordinates(shapely.line_interpolate_point(line, at))[0].tolist() for at in (half, half + 1.0)
    )
    turn = math.degrees(math.atan2(ahead_y - y, ahead_x - x))
    at = f"translate({x:.1f} {y:.1f}) rotate({turn:.0f})"
    yield f'<path transform="{at}" d="M-6 -5L7 0L-6 5Z" fill="{colour}" stroke="none"/>'


def _labels(layers: Sequence[SceneLayer], frame: Frame) -> Iterator[str]:
    """Yield the labels of shapes, topmost first, leaving out those that would lie on another one."""
    taken: dict[int, list[Box]] = {}
    for shape in (shape for layer in reversed(layers) for shape in layer.shapes if shape.label):
        text = label_of(shape)
        x, y = label_place(shape)
        y -= 0.0 if shape.form is Form.AREA else _ABOVE_PX
        half = len(text) * _LABEL_PX * 0.3
        if half < x < frame.width - half and _LABEL_PX < y < frame.height - 4.0 and _taken(taken, x, y, half):
            yield (
                f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="middle" font-size="{_LABEL_PX:.0f}" stroke="#fff" '
                f'stroke-width="3" paint-order="stroke">{escape(visible(text))}</text>'
            )


def _taken(rows: dict[int, list[Box]], x: float, y: float, half: float) -> bool:
    """Take the place of a label if no other one lies there; boxes are kept by the row of the picture they end in."""
    box = (x - half, y - _LABEL_PX, x + half, y + 4.0)
    row = int(box[3] // _ROW)
    near = (other for number in (row - 1, row, row + 1) for other in rows.get(number, ()))
    if any(box[2] >= left and right >= box[0] and box[3] >= top and low >= box[1] for left, top, right, low in near):
        return False
    rows.setdefault(row, []).append(box)
    return True


def _legend(scene: Scene) -> Iterator[tuple[str, str]]:
    for layer in reversed(scene.layers):
        if layer.shown:
            yield from layer.legend or [(layer.shapes[0].style, layer.label)]


def _entry(number: int, name: str, words: str, frame: Frame, prefix: str) -> str:
    columns = int(WIDTH // _COLUMN)
    x, y = _EDGE + number % columns * _COLUMN, frame.height + 2.0 * _EDGE + number // columns * _ROW
    text = words if len(words) <= 42 else f"{words[:41]}…"
    words = f'<text x="30" y="12">{escape(visible(text))}</text>'
    return f'<g transform="translate({x:.0f} {y:.0f})">{symbol(name, prefix)}{words}</g>'


def _ticks(frame: Frame, word: Wording) -> Iterator[str]:
    ticks = list(frame.ticks())
    digits = next(
        (some for some in _DEGREE_DIGITS if all(round(value, some) == round(value, 9) for _, value, _ in ticks)), 9
    )
    for axis, value, at in ticks:
        turned = (value + 180.0) % 360.0 - 180.0
        letters = "EW" if axis == "lon" else "NS"
        text = word.t(DEGREES[letters[turned < 0.0]], degrees=word.number(abs(turned), digits))
        words = f'text-anchor="middle" font-size="10">{text}</text>'
        if axis == "lon":
            y = frame.height
            yield f'<path d="M{at:.1f} {y:.1f}v5" stroke="#555"/><text x="{at:.1f}" y="{y + 17:.1f}" {words}'
        else:
            place = f'transform="translate(-9 {at:.1f}) rotate(-90)"'
            yield f'<path d="M0 {at:.1f}h-5" stroke="#555"/><text {place} {words}'


def _scale_bar(frame: Frame, word: Wording) -> Iterator[str]:
    unit_m, unit = (1.0, "m") if word.units == "metric" else (FOOT_M, "ft")
    length, pixels = frame.bar(unit_m)
    x, y = 14.0, frame.height - 16.0
    text = f"{word.number(length, 0 if length >= 1.0 else 1)} {unit}"
    back = f'x="{x - 6:.1f}" y="{y - 22:.1f}" width="{pixels + 12:.1f}" height="30"'
    yield (
        f'<g><rect {back} fill="#fff" fill-opacity="0.85"/>'
        f'<path d="M{x:.1f} {y - 5:.1f}v5h{pixels:.1f}v-5" fill="none" stroke="#222" stroke-width="1.5"/>'
        f'<text x="{x + pixels / 2:.1f}" y="{y - 7:.1f}" text-anchor="middle">{text}</text></g>'
    )


def _north(frame: Frame, word: Wording) -> Iterator[str]:
    x = frame.width - 26.0
    yield (
        f'<g transform="translate({x:.1f} 34)"><circle r="20" fill="#fff" fill-opacity="0.85" cy="2"/>'
        f'<path d="M0 -14L6 12L0 7L-6 12Z" fill="#222"/><title>{escape(word.t("North"))}</title></g>'
    )


def _empty(text: str, title: str) -> str:
    return visible_xml(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 960 80" role="img" font-family="system-ui, sans-serif" '
        f'font-size="14" fill="#222"><title>{escape(visible(title))}</title><rect width="960" height="80" fill="#fff"/>'
        f'<text x="16" y="44">{escape(text)}</text></svg>\n'
    )

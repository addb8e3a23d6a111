"""Where a body heads that follows a point of itself: the curve of pursuit called tractrix.

An axle rolls along its heading alone. While a point so far ahead of it goes d metres in the direction c, the heading
theta follows tan((theta' - c) / 2) = tan((theta - c) / 2) exp(-d / length): exact for each straight step. The same
holds for the rear axle below an antenna and for a trailed axle behind its hitch.

Half angles make that a linear map, so that the steps of a path are matrices, and a whole path is their product.

Going forward the heading forgets how it began within a few lengths. In reverse it runs away from wherever it is taken
to be, as a trailer does that nobody steers; seen backwards in time it forgets how it ended. So each stretch is followed
in the direction of time in which errors die away: forward from its beginning, reverse from its end. A point behind its
axle turns that round. Where a stretch in reverse ends, what came before it tells its heading as far as that still says
anything, and else the heading that would be steady there.

Angles in radians clockwise from north, metres.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats

_TURN = 2.0 * math.pi
_BLOCK, _SOME = 256, 4
_MOST = 60.0
"""The longest step in lengths that is told from a longer one."""

_MOST_RUNS = 4000
"""More changes of direction than any machine makes in one stretch: all of it is then followed forward."""

_SHARPEST = math.radians(75.0)

START = math.radians(8.0)
"""Standard deviation of a heading that is only taken to be steady: at the beginning of a stretch, or after reverse."""

_ARRIVING = math.radians(1.0)
"""Standard deviation of a heading that was followed for long."""


class TrailedHeading(NamedTuple):
    """Headings (n,), and the standard deviation (n,) that not knowing them at first leaves, radians."""

    heading: Floats
    spread: Floats


def steady(course: Floats, bend: Floats, length: float) -> Floats:
    """Return the heading on a circle: the point runs on radius R = 1 / bend, the axle on the root of R² - length².

    Parameters
    ----------
    course, bend : ndarray
        (n,) the direction of the point, and by how much it turns a metre, right positive.
    length : float
        Metres from the axle ahead to the point.
    """
    return np.asarray(course - np.arcsin(np.clip(length * bend, -math.sin(_SHARPEST), math.sin(_SHARPEST))))


def trailed_heading(
    course: Floats, gone: Floats, expected: Floats, length: float, spread: float = START
) -> TrailedHeading:
    """Return the heading of a body along a path of n places.

    Parameters
    ----------
    course : ndarray
        (n - 1,) directions in which its point goes, turned round where the body goes in reverse.
    gone : ndarray
        (n - 1,) metres, negative in reverse.
    expected : ndarray
        (n,) the heading that would be steady.
    length : float
        Metres from the axle ahead to the point, negative behind it.
    spread : float
        Standard deviation of the heading expected at the beginning.
    """
    found, doubt = np.array(expected), np.full(len(expected), spread)
    ratio = np.clip(gone / length, -_MOST, _MOST)
    known, sure = float(expected[0]), spread
    for start, end in _runs(ratio):
        here, turns = ratio[start:end], course[start:end]
        if here.sum() >= 0.0:
            angle = pulled(known, turns, here)
            doubt[start : end + 1] = sure * faded(angle, turns, here)
        else:
            known, sure = _at_end(known, sure, turns, here, float(expected[end]))
            backwards, back = turns[::-1], -here[::-1]
            angle = pulled(known, backwards, back)
            doubt[start : end + 1] = (sure * faded(angle, backwards, back))[::-1]
            angle = angle[::-1]
        found[start : end + 1] = angle
        known, sure = float(found[end]), float(doubt[end])
    return TrailedHeading(found, doubt)


def pulled(first: float, course: Floats, ratio: Floats) -> Floats:
    """Return the heading at (n,) places, of a body that first headed so.

    Parameters
    ----------
    first : float
    course, ratio : ndarray
        (n - 1,) direction of each step, and its length by that of the body; negative steps push.
    """
    maps = _steps(course, ratio)
    count = len(maps)
    rows = -(-count // _BLOCK)
    padded = np.concatenate([maps, np.broadcast_to(np.eye(2), (rows * _BLOCK - count, 2, 2))])
    blocks = padded.reshape(rows, _BLOCK, 2, 2)
    for step in range(1, _BLOCK if rows else 0):
        blocks[:, step] = blocks[:, step] @ blocks[:, step - 1]
        if step % _SOME == 0:
            blocks[:, step] /= np.abs(blocks[:, step]).max(axis=(1, 2), keepdims=True)
    x, y = math.sin(first / 2.0), math.cos(first / 2.0)
    entries = []
    for (a, b), (c, d) in blocks[:, -1].tolist():
        entries.append((x, y))
        x, y = a * x + b * y, c * x + d * y
        size = math.hypot(x, y)
        x, y = (x / size, y / size) if size > 0.0 else entries[-1]
    entered = np.array(entries).reshape(rows, 1, 2, 1)
    halves = (blocks @ entered).reshape(-1, 2)[:count]
    angles = 2.0 * np.arctan2(halves[:, 0], halves[:, 1])
    return np.unwrap(np.concatenate([[first], angles]))


def faded(heading: Floats, course: Floats, ratio: Floats) -> Floats:
    """Return (n,) by how much less, or more, than at the first of n places the heading would differ from another."""
    half = (heading[:-1] - course) / 2.0
    across, along = _shrinking(ratio)
    sizes = across**2 * np.sin(half) ** 2 + along**2 * np.cos(half) ** 2
    logs = np.cumsum(-np.abs(ratio) - np.log(np.maximum(sizes, 1e-300)))
    return np.asarray(np.exp(np.minimum(np.concatenate([[0.0], logs]), _MOST)))


def _at_end(known: float, sure: float, course: Floats, ratio: Floats, expected: float) -> tuple[float, float]:
    """Return the heading at the end of a stretch in reverse and its standard deviation.

    Two tellings are weighed: the heading at its beginning, carried on, and the one expected at its end.
    """
    carried = pulled(known, course, ratio)
    doubt = max(sure, _ARRIVING) * float(faded(carried, course, ratio).max())
    weight = START**2 / (START**2 + doubt**2)
    apart = math.remainder(float(carried[-1]) - expected, _TURN)
    return expected + weight * apart, START * doubt / math.hypot(START, doubt)


def _steps(course: Floats, ratio: Floats) -> NDArray[np.float64]:
    """Return the steps (m, 2, 2) as maps of the sine and cosine of half the heading."""
    across, along = _shrinking(ratio)
    sine, cosine = np.sin(course / 2.0), np.cos(course / 2.0)
    mixed = (along - across) * sine * cosine
    first, last = across * cosine**2 + along * sine**2, across * sine**2 + along * cosine**2
    return np.stack([np.stack([first, mixed], axis=-1), np.stack([mixed, last], axis=-1)], axis=-2)


def _shrinking(ratio: Floats) -> tuple[Floats, Floats]:
    """Return by what each step shrinks the sine and the cosine of half the angle to it; the larger stays as it is."""
    shrunk = np.exp(-np.abs(ratio))
    return np.where(ratio >= 0.0, shrunk, 1.0), np.where(ratio >= 0.0, 1.0, shrunk)


def _runs(ratio: Floats) -> list[tuple[int, int]]:
    """Return first and last place of each stretch of one direction of travel; steps without a way belong to both."""
    sign = np.sign(ratio)
    moving = np.flatnonzero(sign)
    if len(moving) == 0:
        return [(0, len(ratio))] if len(ratio) else []
    changes = moving[1:][sign[moving[1:]] != sign[moving[:-1]]]
    if len(changes) > _MOST_RUNS:
        return [(0, len(ratio))]
    bounds = [0, *changes.tolist(), len(ratio)]
    return list(pairwise(bounds))

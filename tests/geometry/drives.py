"""Drives for the tests of coverage, and a second way to count what they sweep: points in outlines, cell by cell."""

import numpy as np
from hypothesis import strategies as st

from taskdata.geometry import sweeps

TURNS = 0.35  # radians a step


def bar(path, heading, edges, active=None):
    """Strips between neighbouring edges, all of them active unless told otherwise."""
    edges = np.asarray(edges, dtype=float)
    if active is None:
        active = np.ones((len(path), edges.shape[-1] - 1), dtype=bool)
    return sweeps.strips(path, heading, edges[..., :-1], edges[..., 1:], active)


def around(radius, edges, degrees, steps, *, centre=(0.0, 0.0)):
    """A bar that turns to the right about a centre, its middle at a radius; negative edges lie outside."""
    heading = np.linspace(0.0, degrees, steps + 1)
    angle = np.radians(heading)
    path = np.column_stack([-radius * np.cos(angle), radius * np.sin(angle)]) + centre
    return bar(path, heading, edges)


@st.composite
def drives(draw):
    """A wandering drive with noise, some standing and reversing, and sections that switch at random."""
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    steps, sections = draw(st.integers(3, 45)), draw(st.integers(1, 5))
    tightness, flicker = draw(st.floats(0.0, 1.0)), draw(st.sampled_from([0.0, 0.1, 0.5]))
    turn = np.cumsum(random.normal(0.0, 0.1, steps)) * tightness + draw(st.floats(-TURNS, TURNS))
    heading = np.cumsum(np.clip(turn, -1.0, 1.0))
    speed = np.where(random.random(steps) < 0.1, random.choice([0.0, -1.0], steps), 1.0) * random.uniform(0.3, 1.5)
    path = np.cumsum(np.column_stack([np.sin(heading), np.cos(heading)]) * speed[:, np.newaxis], axis=0)
    path += random.normal(0.0, draw(st.sampled_from([0.0, 0.02])), path.shape)
    edges = np.linspace(-1.0, 1.0, sections + 1) * draw(st.floats(0.5, 3.0))
    on = np.cumsum(random.random((steps, sections)) < flicker, axis=0) % 2 == 0
    return bar(path, np.degrees(heading), edges, on)


def counted(strips, cell, angle=0.0):
    """Areas covered 0, 1, 2, ... times by the even-odd rule at the middle of each cell, outline by outline.

    The rows of the grid are turned counter-clockwise by an angle in radians.
    """
    corners = np.stack([strips.right[:-1], strips.right[1:], strips.left[1:], strips.left[:-1]], axis=2)
    outlines = corners[strips.active] @ np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    low = np.floor(outlines.min(axis=(0, 1)) / cell) - 1
    size = (np.ceil(outlines.max(axis=(0, 1)) / cell) + 1 - low).astype(int)
    counts = np.zeros(size, dtype=int)
    for outline in outlines:
        first = np.floor(outline.min(axis=0) / cell - low).astype(int)
        last = np.ceil(outline.max(axis=0) / cell - low).astype(int) + 1
        x = ((np.arange(first[0], last[0]) + low[0] + 0.5) * cell)[:, np.newaxis]
        y = ((np.arange(first[1], last[1]) + low[1] + 0.5) * cell)[np.newaxis, :]
        inside = np.zeros((x.size, y.size), dtype=bool)
        for (x1, y1), (x2, y2) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
            if y1 != y2:
                inside ^= ((y1 > y) != (y2 > y)) & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
        counts[first[0] : last[0], first[1] : last[1]] += inside
    return np.bincount(counts.ravel()) * cell**2

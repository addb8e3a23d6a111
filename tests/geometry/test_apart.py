"""Distances and middles of many lines at once against those that shapely finds for each."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from taskdata.geometry.apart import Lines, farthest_each, middles


def made(random: np.random.Generator, kind: int) -> tuple[np.ndarray, np.ndarray]:
    """Return a line and the same moved: as a whole, point by point, begun elsewhere, of one place, or all round."""
    count = int(random.integers(1, 40))
    turns = np.sort(random.uniform(0.0, 2.0 * np.pi, count))
    line = np.column_stack([np.cos(turns), np.sin(turns)]) * random.uniform(1.0, 200.0, (count, 1 if kind else 2))
    if kind == 1:
        line = np.vstack([line, line[:1]])
    if kind == 2:
        line = np.repeat(line, 2, axis=0)
    if kind == 3:
        line = np.repeat(line[:1], count, axis=0)
    moved = line + random.normal(0.0, 5.0, 2)
    if kind == 4:
        moved = moved + random.normal(0.0, 3.0, line.shape)
    if kind == 5:
        moved = np.roll(moved, count // 3, axis=0)
    return line, moved


def shape(line: np.ndarray, *, ring: bool) -> shapely.Geometry:
    points = np.vstack([line, line[:1]]) if ring else line
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])


@pytest.mark.parametrize("ring", [False, True])
@pytest.mark.parametrize("kind", range(6))
def test_distances_and_middles_are_those_of_shapely(kind: int, *, ring: bool) -> None:
    random = np.random.default_rng(kind)
    pairs = [made(random, kind) for _ in range(60)]
    rings = np.full(len(pairs), ring)
    one, two = (Lines.of([pair[side] for pair in pairs], rings) for side in (0, 1))
    found = farthest_each(one, two)
    shapes = [[shape(line, ring=ring) for line in pair] for pair in pairs]
    expected = np.array([shapely.hausdorff_distance(*both) for both in shapes])
    known = ~np.isnan(found)
    assert found[known] == pytest.approx(expected[known], abs=1e-9)
    assert known.sum() >= {2: 35, 4: 10, 5: 1}.get(kind, 45)
    centres = [shapely.centroid(each).coords[0] if each.length else each.coords[0] for each, _ in shapes]
    assert middles(one) == pytest.approx(np.array(centres), abs=1e-9)

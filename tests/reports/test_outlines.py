"""Outlines in Braille characters: their dots, by the names that Unicode gives the characters, lie on the rings."""

from __future__ import annotations

import unicodedata

import numpy as np
import pytest
import shapely

import taskdata
from taskdata.model.shapes import Area, AreaKind
from taskdata.reports.outlines import COLUMNS, ROWS, outline
from tests import samples

PLACES = {1: (0, 0), 2: (0, 1), 3: (0, 2), 7: (0, 3), 4: (1, 0), 5: (1, 1), 6: (1, 2), 8: (1, 3)}
"""Column and row of each dot, top left first: ISO/TR 11548-1, after which Unicode numbers them."""


def dots(lines: list[str]) -> np.ndarray:
    """Return the (n, 2) dots of lines, x to the right and y upwards, read from the names of the characters."""
    found = [
        (2 * column + PLACES[int(digit)][0], -(4 * row + PLACES[int(digit)][1]))
        for row, line in enumerate(lines)
        for column, letter in enumerate(line)
        if letter != " "
        for digit in unicodedata.name(letter).removeprefix("BRAILLE PATTERN DOTS-")
    ]
    return np.array(found, dtype=float)


def area(*rings: list[tuple[float, float]]) -> Area:
    outer, *inner = (np.array(ring, dtype=float) for ring in rings)
    return Area(AreaKind.BOUNDARY, exteriors=(outer,), interiors=tuple(inner))


@pytest.mark.parametrize("source", [samples.OFFICE, samples.MACHINE, samples.OLDER])
def test_dots_lie_on_the_rings_and_rings_have_dots(source) -> None:  # type: ignore[no-untyped-def]
    for field in taskdata.read(source).fields:
        lines = outline(field.boundaries)
        rings = [ring for part in field.boundaries for ring in (*part.exteriors, *part.interiors)]
        low, high = np.vstack(rings).min(axis=0), np.vstack(rings).max(axis=0)
        shrink = np.array([np.cos(np.radians((low[1] + high[1]) / 2)), 1.0])
        found = dots(lines)
        corner, size = found.min(axis=0), (high - low) * shrink
        scale = max(np.ptp(found, axis=0) / size)
        drawn = shapely.MultiLineString([((np.vstack([r, r[:1]]) - low) * shrink) * scale + corner for r in rings])
        assert len(lines) <= ROWS
        assert max(map(len, lines)) <= COLUMNS
        assert len(lines) == ROWS or max(map(len, lines)) == COLUMNS
        assert shapely.distance(shapely.points(found), drawn).max() < 1.5
        on_way = shapely.line_interpolate_point(drawn, np.linspace(0, 1, 200), normalized=True)
        assert shapely.distance(on_way, shapely.MultiPoint(found)).max() < 1.5


def test_a_hole_is_drawn() -> None:
    outer = [(7.0, 54.0), (7.01, 54.0), (7.01, 54.005), (7.0, 54.005)]
    hole = [(7.004, 54.002), (7.006, 54.002), (7.006, 54.003), (7.004, 54.003)]
    assert len(dots(outline([area(outer, hole)]))) > len(dots(outline([area(outer)]))) + 10


def test_across_180_degrees_it_is_the_same_as_elsewhere() -> None:
    ring = np.array([(0.0, 10.0), (0.02, 10.0), (0.02, 10.01), (0.0, 10.01)])
    across = (ring + np.array([359.99, 0.0])) % 360.0 - np.array([180.0, 0.0])
    assert across[0, 0] > 0.0 > across[1, 0]
    assert outline([area(across.tolist())]) == outline([area(ring.tolist())])


@pytest.mark.parametrize("ring", [[], [(7.0, 54.0)], [(7.0, 54.0)] * 4, [(np.nan, 1.0), (200.0, 5.0), (1.0, np.inf)]])
def test_what_has_no_size_has_no_picture(ring: list[tuple[float, float]]) -> None:
    assert outline([Area(AreaKind.BOUNDARY, (np.array(ring, dtype=float).reshape(-1, 2),))]) == []


def test_positions_off_earth_and_lines_do_not_matter() -> None:
    ring = [(7.0, 54.0), (7.01, 54.0), (7.01, 54.005), (7.0, 54.005)]
    assert outline([area([*ring, (7.0, 1e9), (np.nan, 54.0)])]) == outline([area(ring)])
    assert outline([area([(7.0, 54.0), (7.01, 54.0)])]) == ["⠉" * COLUMNS]

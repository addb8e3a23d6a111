"""Outlines that lie most alike, against trying each with each."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from taskdata.sets.alike_outlines import SAME_OUTLINE, common_share, join_alike


def joined(shapes: list[shapely.Geometry], sets: list[int]) -> dict[int, int]:
    found: dict[int, int] = {}

    def join(one: int, two: int) -> bool:
        if {one, two} & {*found, *found.values()} or sets[one] == sets[two]:
            return False
        found[one] = two
        return True

    join_alike(shapes, [str(number) for number in range(len(shapes))], lambda at: 1 << sets[at], join)
    return found


@pytest.mark.parametrize("seed", range(10))
def test_few_outlines_are_joined_as_if_each_was_tried_with_each(seed: int) -> None:
    random = np.random.default_rng(seed)
    corners = np.repeat(random.uniform(0.0, 5.0, (6, 2)), 2, axis=0) + random.uniform(0.0, 0.1, (12, 2))
    shapes = [shapely.box(x, y, x + 1.0, y + 1.0) for x, y in corners.tolist()]
    sets = [0, 1] * 6
    tried = sorted((-common_share(shapes[a], shapes[b]), a, b) for a in range(12) for b in range(a + 1, 12))
    expected: dict[int, int] = {}
    for share, one, two in tried:
        if -share >= SAME_OUTLINE and sets[one] != sets[two] and not {one, two} & {*expected, *expected.values()}:
            expected[one] = two
    assert joined(shapes, sets) == expected


@pytest.mark.parametrize("wide", [0.0, 0.05])
def test_of_many_on_one_piece_of_ground_each_finds_its_own(wide: float) -> None:
    random = np.random.default_rng(7)
    shapes = [shapely.box(x, 0.0, x + 1.0, 1.0) for x in random.uniform(0.0, wide, 300).tolist()] * 2
    found = joined(shapes, [0] * 300 + [1] * 300)
    assert len(found) == 300
    assert all(common_share(shapes[one], shapes[two]) >= SAME_OUTLINE for one, two in found.items())
    if wide:
        assert found == {number: number + 300 for number in range(300)}  # the same outline lies most alike


def test_nothing_is_joined_where_there_is_nothing() -> None:
    assert joined([], []) == {}
    assert joined([shapely.box(0.0, 0.0, 1.0, 1.0)], [0]) == {}

"""Some points of a run stay a run: columns, texts and lines of those that are chosen, odd spellings among them."""

from __future__ import annotations

import numpy as np

from taskdata.isoxml.tree.element import PointRun


def test_chosen_points_keep_their_texts() -> None:
    texts = {"A": ["2"] * 6, "C": ["54.10", "+54.2", "54.300", "x", "54.5", ""], "D": list("765432")}
    whole = PointRun.of(texts)
    part = PointRun(whole.store, 1, 6)
    kept = np.array([True, False, True, False, True])
    chosen = part.only(kept)
    assert len(chosen) == 3
    for name, column in texts.items():
        assert chosen.texts(name) == [column[1], column[3], column[5]]
    assert np.array_equal(chosen.floats("C"), part.floats("C")[kept], equal_nan=True)
    assert part.texts("C") == texts["C"][1:]


def test_lines_in_the_file_go_along() -> None:
    run = PointRun.of({"C": ["1", "2", "3"]})
    run.store.lines = np.array([7, 8, 11])
    chosen = run.only(np.array([False, True, True]))
    assert [chosen.line(at) for at in range(2)] == [8, 11]

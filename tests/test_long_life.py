"""A process that converts again and again does not grow; the long run is ``python -m tests.long_life``."""

from __future__ import annotations

from pathlib import Path

from tests.long_life import FORMATS, conversions, objects

ROUNDS = 3
MOST = 10 * len(FORMATS)
"""Ten objects a conversion: one set that is not let go has hundreds."""


def test_conversions_leave_nothing_behind(tmp_path: Path) -> None:
    counts = [objects() for number in conversions(tmp_path, ROUNDS * len(FORMATS)) if number % len(FORMATS) == 0]
    assert counts[-1] - counts[-2] < MOST
    assert list(tmp_path.iterdir()) == []


def test_coverage_leaves_nothing_behind() -> None:
    import taskdata
    from tests.samples import MACHINE

    kept = [taskdata.coverage(MACHINE) and objects() for _ in range(3)]
    assert kept[2] - kept[1] < MOST


def test_what_is_kept_is_seen(tmp_path: Path) -> None:
    import taskdata
    from tests.samples import OFFICE

    before, kept = objects(), [taskdata.read(OFFICE) for _ in range(3)]
    assert objects() - before > 3 * MOST / len(FORMATS)
    assert len(kept) == 3

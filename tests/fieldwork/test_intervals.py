"""The truth of simulated work lies in the stated intervals 95 of 100 times, at 1 to 10 records a second."""

from __future__ import annotations

import pytest

from tests.fieldwork import build
from tests.fieldwork.simulated import rows
from tests.heavy import HEAVY

SEEDS = range(100 if HEAVY else 3)


@pytest.mark.parametrize("switching", ["record", "middle"])
def test_the_truth_lies_in_all_four_intervals(switching: str) -> None:
    held, wide = 0, []
    for seed in SEEDS:
        data, truth, _ = rows.worked_field(seed)
        areas = build.covered(data, switching=switching).areas
        found = rows.inside(truth, areas)
        assert set(found) == {"double", "missed", "outside", "worked"}
        held += all(found.values())
        wide.append((areas.intervals["worked"].high - areas.intervals["worked"].low) / areas.worked_m2)
    print(f"{switching}: {held} of {len(SEEDS)} logs held in all four intervals")  # noqa: T201  # of the long run
    assert held >= 0.95 * len(SEEDS)
    assert max(wide) < 0.06  # an interval that says nothing would hold as well


@pytest.mark.parametrize("switching", ["record", "middle"])
def test_half_way_switching_takes_the_bias_away(switching: str) -> None:
    """At a record a second and 3.5 m/s the states of each row change up to 3.5 m late, by half of that on average."""
    off = []
    for seed in range(40 if HEAVY else 6):
        data, truth, _ = rows.worked_field(seed, rate=1.0)
        areas = build.covered(data, switching=switching).areas
        off.append((areas.outside_m2 or 0.0) - truth.outside)
        assert areas.late_outside_m2 is not None
        assert truth.outside >= (areas.outside_m2 or 0.0) - areas.late_outside_m2 - 10.0
    mean = sum(off) / len(off)
    # Sections that switch at the edge of the field: half of what lies beyond it in an interval is left.
    assert mean > 45.0 if switching == "record" else mean < 40.0


def test_late_places_are_drawn_apart_and_told() -> None:
    from taskdata.reports.coverage_text import coverage_text
    from taskdata.reports.styled import plain

    data, _, _ = rows.worked_field(1, rate=1.0)
    found = build.covered(data, ignore_under_m2=0.0)
    for kind, late in (("missed", found.areas.late_missed_m2), ("outside", found.areas.late_outside_m2)):
        whole = {"missed": found.areas.missed_m2, "outside": found.areas.outside_m2}[kind]
        assert late is not None
        assert late > 20.0
        assert build.rings(found, f"{kind}-late") == pytest.approx(late, rel=1e-3)
        assert build.rings(found, kind) + late == pytest.approx(whole, rel=1e-3, abs=0.1)
    assert "Possibly late switching: up to" in plain(coverage_text("stick", [found]))


def test_what_a_gap_hides_is_in_the_intervals() -> None:
    """Eight seconds without records in the second row: what was worked there counts as missed."""
    data, truth, _ = rows.worked_field(4, rate=5.0, gaps=((10.0, 18.0),))
    areas = build.covered(data).areas
    assert rows.inside(truth, areas) == dict.fromkeys(areas.intervals, True)
    whole = build.covered(rows.worked_field(4, rate=5.0)[0]).areas
    assert areas.intervals["missed"].high - areas.intervals["missed"].low > 100.0 + (
        whole.intervals["missed"].high - whole.intervals["missed"].low
    )


def test_worse_positions_make_wider_intervals() -> None:
    data = rows.worked_field(0, rate=5.0)[0]
    sizes = []
    for accuracy in (0.0, 0.025, 0.1, 0.5):
        areas = build.covered(data, accuracy_m=accuracy).areas
        sizes.append(areas.intervals["missed"].high - areas.intervals["missed"].low)
        assert f"position accuracy {accuracy:g} m" in build.covered(data, accuracy_m=accuracy).method
    assert sizes == sorted(sizes)
    plain, free = (build.covered(rows.worked_field(0, rate=5.0, status=status)[0]) for status in (4, 1))
    assert plain.areas.intervals["double"].high < free.areas.intervals["double"].high
    assert "which no log states" in build.covered(rows.worked_field(0, rate=5.0, status=None)[0]).method

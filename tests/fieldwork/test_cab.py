"""What the trade knows of a display in the cab, simulated and seen in the report.

Facts without a published source are marked common practice.
"""

from __future__ import annotations

import numpy as np
import pytest

from taskdata.fieldwork.driving.straightness import against_line
from taskdata.reports.coverage_text import CLASSES, coverage_text
from taskdata.results.coverage import Coverage
from taskdata.results.driving import AccuracyClass
from tests.fieldwork import build

WIDTH = 12.0
LENGTH = 200.0
COUNT = 9


def drive(spacing: float, error: np.ndarray | None = None) -> Coverage:
    """The coverage of passes of a 12 m boom, each position off to the side by the error of the receiver."""
    ways = [build.straight(LENGTH, x=number * spacing, back=number % 2 == 1) for number in range(COUNT)]
    places = np.concatenate(ways)
    if error is not None:
        places[:, 0] += error
    on = np.concatenate([np.append(np.ones(200, dtype=int), 0)] * COUNT)
    seconds = np.concatenate([np.arange(201.0) + number * 231.0 for number in range(COUNT)])
    log = build.log(places, {(141, "DET21"): on}, seconds=seconds)
    ring = [(-6.0, 0.0), (COUNT * spacing - 6.0, 0.0), (COUNT * spacing - 6.0, LENGTH), (-6.0, LENGTH)]
    return build.covered([log], [build.sprayer([6000, 6000])], [build.field(ring)])


def told(found: Coverage) -> str:
    return " ".join(" ".join(line.text for line in coverage_text("drive", [found])).split())


def receiver(pass_to_pass: float, seed: int = 3) -> np.ndarray:
    """The slow error of a receiver, a record a second: a Gauss-Markov walk over ten minutes.

    Scaled so that 95 % of the differences after the time of one pass are below the figure.
    """
    random, steps = np.random.default_rng(seed), COUNT * 231
    keep = np.exp(-1.0 / 600.0)
    walk = np.empty(steps)
    walk[0] = 0.0
    for index, step in enumerate(random.normal(0.0, 1.0, steps - 1)):
        walk[index + 1] = keep * walk[index] + step
    between = np.abs(walk[231:] - walk[:-231])
    walk *= pass_to_pass / np.percentile(between, 95.0)
    return np.concatenate([walk[number * 231 : number * 231 + 201] for number in range(COUNT)])


@pytest.mark.parametrize(
    ("figure", "kind"),
    [
        pytest.param(0.8, AccuracyClass.PLAIN, id="free satellite corrections: below a metre"),
        pytest.param(0.175, AccuracyClass.CORRECTED, id="a better antenna on the same corrections: 15 to 20 cm"),
        pytest.param(0.025, AccuracyClass.RTK, id="real-time kinematic: 2 to 3 cm"),
    ],
)
def test_the_accuracy_of_a_receiver_shows_pass_to_pass(figure: float, kind: AccuracyClass) -> None:
    """Common practice: the classes. The report gives the figure that was simulated, and names its class."""
    found = drive(WIDTH, receiver(figure))
    assert found.pass_to_pass is not None
    assert found.pass_to_pass.p95_m == pytest.approx(figure, rel=0.5)
    assert found.pass_to_pass.accuracy is kind
    assert CLASSES[kind] in told(found)


@pytest.mark.parametrize("overlap", [0.1, 0.5, 2.0])
def test_an_overlap_set_in_the_cab_shows_as_spacing(overlap: float) -> None:
    """Common practice: passes lie width less overlap apart; doubled is the overlap along each of eight pairs."""
    found = drive(WIDTH - overlap, receiver(0.01))
    assert found.pass_to_pass is not None
    assert found.pass_to_pass.driven_m == pytest.approx(WIDTH - overlap, abs=0.01)
    assert found.pass_to_pass.mean_abs_m < 0.02
    assert f"{overlap:.2f} m less than the width, as if an overlap was set in the cab." in told(found)
    assert found.areas.double_m2 == pytest.approx((COUNT - 1) * overlap * LENGTH, rel=0.1)


@pytest.mark.parametrize("skip", [0.1, 0.5, 2.0])
def test_a_skip_set_in_the_cab_shows_as_spacing(skip: float) -> None:
    """Common practice: passes lie width and skip apart; missed is the gap along each of eight pairs and at the edge."""
    found = drive(WIDTH + skip, receiver(0.01))
    assert found.pass_to_pass is not None
    assert found.pass_to_pass.driven_m == pytest.approx(WIDTH + skip, abs=0.01)
    assert f"{skip:.2f} m more than the width, as if a skip was set in the cab." in told(found)
    assert found.areas.missed_m2 == pytest.approx(COUNT * skip * LENGTH, rel=0.1)


def test_passes_at_the_width_are_not_taken_for_an_overlap() -> None:
    assert "set in the cab" not in told(drive(WIDTH, receiver(0.175)))


def test_a_straight_line_goes_on_past_a_and_b() -> None:
    """Common practice: A and B 50 m apart in the middle of passes of 200 m; all 200 m count against the line."""
    track = np.concatenate([build.straight(LENGTH, x=number * WIDTH + 0.03) for number in range(2)])
    track = np.insert(track, 201, [(np.nan, np.nan)], axis=0)
    found = against_line(track, [(0.0, 75.0), (0.0, 125.0)], spacing=WIDTH)
    assert found is not None
    assert (found.passes, found.others) == (2, 0)
    assert found.places >= 2 * 180
    assert found.mean_m == pytest.approx(0.03, abs=1e-6)

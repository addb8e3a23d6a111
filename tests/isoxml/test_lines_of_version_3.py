"""Guidance lines of any kind as plain lines of version 3: their course is kept, their limits are named (R-237)."""

from __future__ import annotations

import numpy as np
import pytest

from taskdata.isoxml.to_document.apply import apply, new_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.model.shapes import LineKind

CENTRE, NORTH, EAST = (7.0, 54.3), (7.0, 54.301), (7.001715, 54.3)


def laid(line: GuidanceLine) -> tuple[Document, list[str]]:
    """Return a set of version 3 with this line, and the ledger."""
    document, empty = new_document("made", 3), Dataset("made", "isoxml")
    field = Field("PFD1", "Moorkamp", groups=(GuidanceGroup((line,)),))
    losses = apply(document, empty, empty.with_changes(fields=(field,)))
    return document, [loss.what for loss in losses]


@pytest.mark.parametrize(
    ("kind", "points", "given", "least"),
    [
        (GuidanceKind.A_PLUS, [CENTRE], {"heading_deg": 90.0}, 2),
        (GuidanceKind.PIVOT, [CENTRE], {"radius_m": 120.0}, 100),
        (GuidanceKind.PIVOT, [CENTRE, NORTH, EAST], {"direction": 1}, 50),
    ],
)
def test_a_line_given_by_heading_or_centre_keeps_its_course(
    kind: GuidanceKind, points: list[tuple[float, float]], given: dict[str, float], least: int
) -> None:
    document, told = laid(GuidanceLine(kind, np.array(points), name="Spur", spacing_m=6.0, **given))
    (line,) = to_dataset(document).fields[0].lines
    assert (line.kind, line.name, line.width_m) == (LineKind.GUIDANCE, "Spur", 6.0)
    assert len(line.points) >= least
    assert told[0] == f"guidance line Spur of kind {kind} becomes a line of {len(line.points)} points"
    on_the_centre = np.allclose(line.points[0], CENTRE)
    assert on_the_centre == (kind is GuidanceKind.A_PLUS)


def test_what_a_line_cannot_say_is_named() -> None:
    limits = {"swaths_left": 4, "propagation": 2, "extension": 4}
    _, told = laid(GuidanceLine(GuidanceKind.AB, np.array([CENTRE, NORTH]), name="Spur", **limits))
    assert told[:1] == ["of guidance line Spur: passes to the left only, not extended, 4 passes to the left at most"]


def test_a_line_without_a_course_is_left_out_and_named() -> None:
    document, told = laid(GuidanceLine(GuidanceKind.A_PLUS, np.array([CENTRE]), name="Spur"))
    assert to_dataset(document).fields[0].lines == ()
    assert told == ["guidance line Spur"]

"""Which guidance line of a field was followed, where none is named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from taskdata.fieldwork.coverage.task_coverage import TaskChoice, cover_tasks
from taskdata.fieldwork.driving import line_following
from taskdata.fieldwork.implement import Settings
from taskdata.model.fields import GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.results.driving import LineFollowing
from tests.fieldwork import build

WIDTH, LENGTH, COUNT, OFF = 12.0, 200.0, 6, 0.10


def line(identifier: str, *metres: tuple[float, float]) -> GuidanceLine:
    return GuidanceLine(GuidanceKind.AB, build.degrees(metres), name=identifier, id=identifier, spacing_m=WIDTH)


DRIVEN = line("GPN2", (-OFF, 0.0), (-OFF, LENGTH))
BETWEEN = line("GPN1", (4.0, 0.0), (4.0, LENGTH))
ACROSS = line("GPN3", (0.0, 50.0), (100.0, 50.0))
NEARLY = line("GPN4", (0.5, 0.0), (0.5, LENGTH))
NO_LENGTH = line("GPN5", (1.0, 1.0), (1.0, 1.0))


def followed(*lines: GuidanceLine, name: str | None = None) -> LineFollowing | None:
    """Return what passes up and down followed, the first at 0 m east."""
    log = build.passes(COUNT, WIDTH, LENGTH)
    ground = build.field([(-6, 0), (66, 0), (66, 200), (-6, 200)])
    field = replace(ground, groups=(GuidanceGroup(lines, id="GGP1"),))
    made = build.dataset([log], [build.sprayer([6000, 6000])], [field])
    (found,) = cover_tasks(made, Settings(), TaskChoice(line=name, any_line=True))
    return found.followed


def test_the_line_that_most_passes_run_along_is_compared() -> None:
    found = followed(BETWEEN, NEARLY, ACROSS, NO_LENGTH, DRIVEN)
    assert found is not None
    assert found.error is not None
    assert (found.line, found.error.passes, found.error.others) == ("GPN2", COUNT, 0)
    assert found.error.mean_abs_m == pytest.approx(OFF, abs=0.005)
    assert found.error.mean_m == pytest.approx(OFF, abs=0.005)  # right of a line to the north is east


def test_no_line_is_told_where_passes_run_along_none() -> None:
    assert followed(BETWEEN, ACROSS, NO_LENGTH) is None
    assert followed() is None


def test_a_line_that_is_named_is_compared_alone() -> None:
    found = followed(BETWEEN, DRIVEN, name="GPN1")
    assert found is not None
    assert (found.line, found.error) == ("GPN1", None)


def test_of_a_long_log_few_lines_are_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(line_following, "MOST_PLACES", 100)
    assert followed(DRIVEN) is None

"""A stick with more than forty kinds of mess: each thing placed, named and measured right, or told."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

import taskdata
from taskdata.reports.inspect import field_document
from tests.exchange.mess_stick import KINDS, SIZE, Truth, make_stick

TOLERANCE = 2e-7
"""Degrees: a position that was written with seven digits, or went through a projection and back (2 cm)."""

Stick = tuple[Path, dict[str, Truth], taskdata.Survey]


@pytest.fixture(scope="module")
def stick(tmp_path_factory: pytest.TempPathFactory) -> Stick:
    home = tmp_path_factory.mktemp("mess") / "stick"
    truths = make_stick(home)
    return home, truths, taskdata.survey(home)


def true_area(west: float, south: float, east: float, north: float) -> float:
    """The area of a rectangle of degrees on the ellipsoid, by an independent library (C. Karney's algorithms)."""
    ring = Geodesic.WGS84.Polygon()
    for lat, lon in ((south, west), (south, east), (north, east), (north, west)):
        ring.AddPoint(lat, lon)
    return abs(ring.Compute()[2])


def test_there_are_more_than_forty_kinds() -> None:
    assert len(KINDS) > 40


def faults(truth: Truth, found: taskdata.Survey) -> Iterator[str]:
    """What the survey says of a thing that is not true of it, and what it should say and does not."""
    aside = dict(found.aside)
    item = next((item for item in found.items if item.path == truth.path), None)
    said = [aside.get(truth.path, ""), *(str(told) for told in found.findings if told.place.file == truth.path)]
    if item is not None:
        said += [item.why, *(item.guess.reasons if item.guess else ())]
    if truth.told.lower() not in " ".join(said).lower():
        yield f"it is not told: {said}"
    if not truth.kinds:
        if item is not None or (truth.told and truth.path not in aside):
            yield "it is not left aside"
        return
    if item is None:
        yield "it is not found"
        return
    if str(item.kind) not in truth.kinds:
        yield f"it is called {item.kind}: {item.why}"
    if truth.rows is not None and item.rows != truth.rows:
        yield f"it has {item.rows} rows"
    if truth.box is not None and not np.allclose(item.bounds or (), truth.box, rtol=0.0, atol=TOLERANCE):
        yield f"it lies in {item.bounds}"
    if truth.guess and (item.guess is None or item.guess.crs not in truth.guess):
        yield f"the guess is {item.guess}"
    if truth.width is not None and abs((item.width_m or 0.0) - truth.width) > 0.02:
        yield f"its width is {item.width_m}"


def test_everything_is_placed_and_counted_or_told(stick: Stick) -> None:
    _, truths, found = stick
    assert {kind: wrong for kind, truth in truths.items() if (wrong := list(faults(truth, found)))} == {}


def test_everything_is_named_and_measured(stick: Stick) -> None:
    home, truths, _ = stick
    named = {kind: truth for kind, truth in truths.items() if truth.names}
    assert len(named) > 25
    for kind, truth in named.items():
        data = taskdata.read(home / truth.path, **truth.reading)
        things = data.points if truth.kinds == {"point"} else data.fields
        assert [thing.name for thing in things] == list(truth.names), kind
        for field in data.fields if things is data.fields else ():
            (outline,) = [ring for area in field.boundaries for ring in area.exteriors]
            holes = [ring for area in field.boundaries for ring in area.interiors]
            west, south = outline.min(axis=0)
            truly = true_area(west, south, west + SIZE, south + SIZE)
            truly -= sum(true_area(*hole.min(axis=0), *hole.max(axis=0)) for hole in holes)
            assert field_document(field)["area_m2"] == pytest.approx(truly, rel=1e-4), kind


def test_what_belongs_together_is_taken_as_one(stick: Stick) -> None:
    """The set deep in an archive is another source, and nothing is chosen; of the layers each thing is taken once."""
    home, truths, found = stick
    with pytest.raises(taskdata.UsageError, match="holds a task data set and layers"):
        taskdata.read(home)
    (other,) = (item.path for item in found.items if str(item.kind) == "taskdata")
    shown = (home / other.split("/")[0]).rename(home.parent / "other.zip")
    data = taskdata.read(home, partial=True)
    shown.rename(home / other.split("/")[0])
    names = [field.name for field in data.fields]
    for kind, truth in truths.items():
        if truth.box is not None and truth.kinds == {"field"} and truth.names and "set" not in kind:
            assert set(truth.names) <= set(names), kind
    assert names.count("Doppelt") == names.count("Neu") == 1
    assert len(data.tasks) >= 4
    left = {item.place.file for item in data.findings if item.rule.id == "import.copy-left-out"}
    assert left == {"Kopie von twice.geojson", "backup 2021-04-30/season.geojson"}
    assert {"damaged.zip", "bomb.zip", "broken.gpx", "nothing.gpx", "prices.csv"} <= {item.file for item in data.unread}

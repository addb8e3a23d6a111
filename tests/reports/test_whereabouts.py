"""Where a set lies: beside the coordinates of the files, across 180 degrees, and with positions that cannot be true."""

from __future__ import annotations

import math

import numpy as np
import pytest

from taskdata import read
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind, Line, LineKind, Point, PointKind
from taskdata.model.whereabouts import bounds, centre
from tests import samples
from tests.reports.test_inspect import course, office_fields


def field(name: str, *corners: tuple[float, float]) -> Field:
    """A field whose boundary has these corners, longitude first."""
    return Field(name, name, boundaries=(Area(AreaKind.BOUNDARY, (np.array(corners),)),))


def box(lon: float, lat: float, size: float = 0.01) -> tuple[tuple[float, float], ...]:
    """The corners of a box round a place."""
    return tuple((lon + x * size, lat + y * size) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))


def place_of(*fields: Field) -> tuple[tuple[float, float] | None, tuple[float, float, float, float] | None]:
    found = Dataset("fields", "geojson", fields=fields)
    return centre(found), bounds(found)


def test_the_centre_lies_in_the_middle_of_the_fields_of_the_file() -> None:
    """By the coordinates of the files alone; the middle of each boundary, then the median of the fields."""
    middles, every = [], []
    for item in office_fields():
        corners = np.array([point for ring in item.findall("PLN[@A='1']/LSG") for point in course(ring)])[:, ::-1]
        middles.append((corners.min(axis=0) + corners.max(axis=0)) / 2.0)
        every.append(corners)
    found = read(samples.OFFICE)
    assert centre(found) == pytest.approx(np.median(middles, axis=0), abs=1e-7)
    west, south, east, north = bounds(found) or (math.nan,) * 4
    low, high = np.vstack(every).min(axis=0), np.vstack(every).max(axis=0)
    assert west <= low[0] + 1e-7
    assert south <= low[1] + 1e-7
    assert east >= high[0] - 1e-7
    assert north >= high[1] - 1e-7
    assert east - west < 0.1


def test_fields_across_180_degrees_are_neighbours() -> None:
    west, east = field("west", *box(-179.9, 10.0)), field("east", *box(179.9, 10.0))
    across = field("across", (179.99, -17.0), (-179.99, -17.0), (-179.99, -16.98), (179.99, -16.98))
    assert place_of(across) == ((-180.0, -16.99), (179.99, -17.0, -179.99, -16.98))
    assert place_of(west, east) == ((-180.0, 10.0), (179.89, 9.99, -179.89, 10.01))


def test_a_field_that_is_astray_does_not_move_the_centre() -> None:
    near = [field(str(at), *box(7.0 + at * 0.01, 54.3)) for at in range(3)]
    lost_sign = field("lost", *box(-7.0, -54.3))
    middle, corners = place_of(*near, lost_sign)
    assert middle == pytest.approx((7.005, 54.3))
    assert corners == pytest.approx((-7.01, -54.31, 7.03, 54.31))


@pytest.mark.parametrize("bad", [(0.0, 0.0), (math.nan, 54.0), (7.0, math.inf), (700.0, 54.0), (7.0, 91.0)])
def test_a_position_that_cannot_be_true_does_not_count(bad: tuple[float, float]) -> None:
    good = box(7.0, 54.3)
    assert place_of(field("a", *good, bad)) == place_of(field("a", *good))


def test_a_field_without_a_boundary_lies_where_its_lines_and_points_are() -> None:
    line = Line(LineKind.GUIDANCE, np.array([[7.0, 54.0], [7.2, 54.0]]))
    bare = Field("PFD1", "bare", lines=(line,), points=(Point(PointKind.FLAG, 7.1, 54.2),))
    assert place_of(bare) == ((7.1, 54.1), (7.0, 54.0, 7.2, 54.2))
    assert place_of(Field("PFD1", "empty")) == (None, None)


def test_without_fields_the_logs_tell() -> None:
    found = read(samples.MACHINE)
    logs = [log.records for task in found.tasks for log in task.logs]
    lon, lat = (np.concatenate([getattr(records, name) for records in logs if records]) for name in ("lon", "lat"))
    alone = found.with_changes(fields=())
    west, south, east, north = np.nanmin(lon), np.nanmin(lat), np.nanmax(lon), np.nanmax(lat)
    assert bounds(alone) == pytest.approx((west, south, east, north), abs=1e-7)
    assert centre(alone) == pytest.approx(((west + east) / 2.0, (south + north) / 2.0), abs=1e-7)

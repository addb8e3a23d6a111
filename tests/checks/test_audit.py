"""What the audit beyond the standard measures, against other sources; and sets too large, or of another format."""

from __future__ import annotations

import json
import unicodedata
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from taskdata import api
from taskdata.checks._course_sets import rings
from taskdata.checks._field_shapes import field_shapes, shape_of
from taskdata.checks.name._looks import CYRILLIC, GREEK, looks
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import GPS_WEEKS
from taskdata.findings import Finding, Severity
from taskdata.geometry.metres import degree_metres
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.model.logs import Log, Logged, LogRecords
from taskdata.model.shapes import Area, AreaKind, Point, PointKind
from taskdata.model.tasks import Grid, Setpoint, Task, TaskStatus, Zone
from tests import samples

WGS84 = Geodesic.WGS84
SQUARE = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)])


def placed(metres: object, lon: float = 7.0, lat: float = 54.3) -> np.ndarray:
    """Points in degrees for metres east and north of a place, by the geodesics of geographiclib."""
    found = []
    for east, north in np.asarray(metres, dtype=float).tolist():
        azimuth, distance = np.degrees(np.arctan2(east, north)), np.hypot(east, north)
        end = WGS84.Direct(lat, lon, azimuth, distance)
        found.append(((end["lon2"] + 180.0) % 360.0 - 180.0, end["lat2"]))
    return np.array(found)


def boundary(points: np.ndarray, *holes: np.ndarray, kind: AreaKind = AreaKind.BOUNDARY) -> Area:
    return Area(kind, (points,), holes)


def field(number: int, *areas: Area, **others: object) -> Field:
    return Field(f"PFD{number}", f"Schlag {number}", boundaries=areas, **others)  # type: ignore[arg-type]


def audit(*fields: Field, rule: str) -> list[Finding]:
    report = api.check(Dataset("made", "geojson", fields=fields), select=[rule], max_per_rule=0)
    return list(report.findings)


def geodesic_area(points: np.ndarray) -> float:
    polygon = WGS84.Polygon()
    for lon, lat in points.tolist():
        polygon.AddPoint(lat, lon)
    return abs(polygon.Compute(False, True)[2])


@given(st.floats(-80.0, 80.0))
def test_metres_of_a_degree(lat: float) -> None:
    east, north = degree_metres(lat)
    assert east == pytest.approx(WGS84.Inverse(lat, 0.0, lat, 0.001)["s12"] * 1000.0, rel=1e-6)
    assert north == pytest.approx(WGS84.Inverse(lat - 0.0005, 0.0, lat + 0.0005, 0.0)["s12"] * 1000.0, rel=1e-6)


@pytest.mark.parametrize("lon", [7.0, 179.9999, -179.9999])
def test_areas_of_rings_and_fields(lon: float) -> None:
    points = placed(SQUARE * 5.0, lon)
    wanted = geodesic_area(points)
    subject = Subject(None, Dataset("made", "geojson", fields=(field(1, boundary(points)),)))
    assert rings(subject).areas[0] == pytest.approx(wanted, rel=1e-4)
    assert field_shapes(subject)[0].area == pytest.approx(wanted, rel=1e-4)


@pytest.mark.parametrize("lon", [7.0, 179.9999])
@pytest.mark.parametrize("one_polygon", [True, False])
def test_an_island_in_a_pond_is_part_of_its_field(lon: float, one_polygon: bool) -> None:
    outline, pond, island = (placed(SQUARE * size + at, lon) for size, at in ((5.0, 0), (2.0, 100), (1.0, 150)))
    parts = [Area(AreaKind.BOUNDARY, (outline, island), (pond,))] if one_polygon else None
    whole = field(1, *(parts or [boundary(outline, pond), boundary(island)]))
    subject = Subject(None, Dataset("made", "geojson", fields=(whole,)))
    wanted = geodesic_area(outline) - geodesic_area(pond) + geodesic_area(island)
    assert field_shapes(subject)[0].area == pytest.approx(wanted, rel=1e-6)
    assert float(shapely.area(field_shapes(subject)[0].ground)) == pytest.approx(wanted, rel=1e-6)
    log = Log("TLG00001", (), lambda: records(placed([(x, 200.0) for x in np.linspace(160, 240, 50)], lon)))
    data = Dataset("made", "geojson", fields=(whole,), tasks=(Task("TSK1", "dry", field="PFD1", logs=(log,)),))
    assert [item.facts for item in api.check(data, select=["timelog.outside-fields"]).findings] == []


def records(points: np.ndarray) -> LogRecords:
    """A log of some places, one a second."""
    time = np.datetime64("2024-05-02T08:00:00", "ms") + 1000 * np.arange(len(points))
    nothing = np.empty(0, np.int64)
    return LogRecords(time, *points.T, None, None, nothing, nothing.astype(np.uint8), nothing.astype(np.int32))


def test_fields_on_both_sides_of_180_degrees_that_overlap() -> None:
    one, other = placed(SQUARE * 5.0, 179.998), placed(SQUARE * 5.0, -179.999)
    found = audit(field(1, boundary(one)), field(2, boundary(other)), rule="field.overlapping")
    assert [item.facts["other"] for item in found] == ["PFD1"]


@pytest.mark.parametrize(("factor", "severity"), [(1.0, None), (1.06, Severity.NOTE), (1.3, Severity.WARNING)])
def test_the_stated_area_is_compared_with_the_geodesic_one(factor: float, severity: Severity | None) -> None:
    outer, hole = placed(SQUARE), placed(SQUARE / 4.0 + 20.0)
    wanted = geodesic_area(outer) - geodesic_area(hole)
    made = field(1, boundary(outer, hole), declared_area_m2=round(wanted * factor))
    found = audit(made, rule="field.wrong-area")
    assert [item.severity for item in found] == ([] if severity is None else [severity])
    assert [item.facts["found"] for item in found] == ([] if severity is None else [round(wanted)])


@pytest.mark.parametrize("lon", [7.0, 179.9995, -179.9995])
def test_what_lies_across_the_antimeridian_is_where_it_belongs(lon: float) -> None:
    line = GuidanceLine(GuidanceKind.AB, placed([(0, 50), (90, 50)], lon), id="GPN1", spacing_m=24.0)
    headland = boundary(placed(SQUARE / 2.0, lon), kind=AreaKind.HEADLAND)
    made = field(1, boundary(placed(SQUARE, lon)), areas=(headland,), groups=(GuidanceGroup((line,)),))
    for rule in ("field", "geometry", "guidance"):
        assert audit(made, rule=rule) == []
    outside = replace(headland, exteriors=(placed(SQUARE / 2.0 + 80.0, lon),))
    (found,) = audit(replace(made, areas=(outside,)), rule="field")
    assert found.facts["size"] == pytest.approx(2500.0 - 20.0**2, rel=0.05)


def test_a_ring_of_twenty_thousand_points_is_too_much() -> None:
    angles = np.linspace(0.0, 2.0 * np.pi, 20_000, endpoint=False)
    circle = np.column_stack([7.0 + 0.01 * np.cos(angles), 54.3 + 0.005 * np.sin(angles)])
    found = audit(field(1, boundary(circle)), field(2, boundary(circle[1:])), rule="geometry.many-points")
    assert [(item.facts["count"], item.facts["element"]) for item in found] == [(20_000, "PFD1")]


def test_the_place_of_a_finding_is_that_of_the_fault() -> None:
    spike = np.insert(SQUARE, 2, [(100.0, 50.0), (140.0, 50.3), (100.0, 50.6)], axis=0)
    (found,) = audit(field(1, boundary(placed(spike))), rule="geometry.spike")
    assert found.place.location == pytest.approx(tuple(placed([(140.0, 50.3)])[0]), abs=1e-9)
    assert found.facts["size"] == pytest.approx(40.0, abs=0.1)


def test_fields_that_overlap_are_those_that_shapes_say() -> None:
    """Of 300 random squares, against every pair compared."""
    draw = np.random.default_rng(3)
    corners = draw.uniform(0.0, 3000.0, (300, 2))
    made = [field(number, boundary(placed(SQUARE + corner))) for number, corner in enumerate(corners, 1)]
    boxes = [shapely.box(x, y, x + 100.0, y + 100.0) for x, y in corners.tolist()]
    wanted = set()
    for one, first in enumerate(boxes):
        for other in range(one + 1, len(boxes)):
            common = shapely.intersection(first, boxes[other])
            if common.area > 150.0 and 2.0 * common.area / common.length > 1.5:
                wanted.add((f"PFD{one + 1}", f"PFD{other + 1}"))
    found = {(item.facts["other"], item.facts["element"]) for item in audit(*made, rule="field.overlapping")}
    assert wanted <= found
    assert len(found - wanted) <= 12  # those near the limits
    assert len(wanted) > 50


def test_layers_of_other_programs_are_audited(tmp_path: Path) -> None:
    ring = [[7.0, 54.3], [7.001, 54.3], [7.001, 54.301], [7.0, 54.301], [7.0, 54.3]]
    geometry = {"type": "Polygon", "coordinates": [ring]}
    features = [{"type": "Feature", "properties": {"name": name}, "geometry": geometry} for name in ("Kuhle", "KUHLE")]
    path = tmp_path / "fields.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    found = api.check(path).findings
    assert {item.rule.id for item in found} == {"field.same-ground", "name.look-alike"}
    assert all(item.place.location is not None for item in found if item.rule.id == "field.same-ground")


def test_polygons_that_are_no_use_have_no_shape() -> None:
    square = placed(SQUARE)
    assert shape_of([]) is None
    assert shape_of([boundary(square[:2])]) is None
    assert shape_of([boundary(square[[0, 1, 0]])]) is None
    assert shape_of([boundary(square[[0, 2, 1, 3]])]) is None
    assert shape_of([boundary(square + 100.0)]) is None
    assert shape_of([boundary(square)]) is not None


def test_1024_weeks_are_7168_days() -> None:
    """IS-GPS-200, 20.3.3.3.1.1: ten bits of the week number; they began again on 1999-08-22 and on 2019-04-07."""
    assert np.timedelta64(7168, "D") == GPS_WEEKS
    assert date(1980, 1, 6) + timedelta(days=7168) == date(1999, 8, 22)
    assert date(1999, 8, 22) + timedelta(days=7168) == date(2019, 4, 7)


@pytest.mark.parametrize("script", [CYRILLIC, GREEK], ids=["Cyrillic", "Greek"])
def test_letters_that_look_like_latin_ones_are_of_other_alphabets(script: dict[str, str]) -> None:
    for letter, latin in script.items():
        assert unicodedata.name(letter).split()[0] in {"CYRILLIC", "GREEK"}
        assert latin.isascii()
        assert looks(letter) == looks(latin)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Kali 40", "KALI 4O", True),
        ("Schlag 1", "Schlag l", True),
        ("Große Breite", "GROSSE\u00a0BREITE", True),
        ("Kuhle", "Kuhle\u200b", True),
        ("Kuhle", "\u041auhle", True),
        ("Schlag 1", "Schlag 2", False),
        ("Äcker", "Acker", False),
    ],
)
def test_names_that_look_the_same(one: str, other: str, same: bool) -> None:
    assert (looks(one) == looks(other)) is same


ODD = st.sampled_from([0.0, 7.0, 7.001, 54.3, 54.301, -90.0, 90.0, 180.0, -180.0, 1e-12, 91.0, 1e9, np.nan, np.inf])
COURSE = st.lists(st.tuples(ODD, ODD), min_size=1, max_size=7).map(np.array)
NUMBER = st.none() | st.sampled_from([-1.0, 0.0, 1e-9, 3.0, 24.0, 1e12])


def odd_field(number: int, courses: list[np.ndarray], value: float | None, kind: GuidanceKind) -> Field:
    """A field made of courses, where anything may be what it should not be."""
    areas = [boundary(courses[0], *courses[1:2]), boundary(courses[-1], kind=AreaKind.HEADLAND)]
    line = GuidanceLine(kind, courses[0], heading_deg=value, radius_m=value, spacing_m=value, id="GPN1")
    stated = None if value is None else int(value)
    others = {"areas": (areas[1], boundary(courses[0], kind=AreaKind.OBSTACLE)), "groups": (GuidanceGroup((line,)),)}
    points = tuple(Point(PointKind.OBSTACLE, *course[0].tolist()) for course in courses)
    return field(number, *areas[:1], declared_area_m2=stated, points=points, parent=f"PFD{number}", **others)


@given(st.lists(st.tuples(st.lists(COURSE, min_size=1, max_size=3), NUMBER, st.sampled_from(GuidanceKind)), max_size=4))
def test_no_rule_fails_whatever_the_coordinates_are(drawn: list[tuple[list[np.ndarray], float, GuidanceKind]]) -> None:
    fields = tuple(odd_field(number, *parts) for number, parts in enumerate(drawn))
    zones = tuple(
        Zone(number, areas=item.boundaries, setpoints=(Setpoint(6, 10**number),)) for number, item in enumerate(fields)
    )
    grid = Grid("GRD00001", 1, 54.3, 7.0, 1e-5, 1e-5, 3, 3, lambda: None)
    nowhere = np.array([np.nan, 0.0, 7.0, 7.0, np.inf, 1e9])
    time = np.array(["NaT", "1980-01-01", "2024-04-18", "2024-04-18", "2155-01-01", "1900-01-01"], "datetime64[ms]")
    records = LogRecords(time, nowhere, nowhere, None, None, np.arange(6), np.zeros(6, np.uint8), np.ones(6, np.int32))
    log = Log("TLG00001", (Logged(397),), lambda: records)
    task = Task("TSK1", TaskStatus.PLANNED, field="PFD0", zones=zones, grid=grid, logs=(log,))
    report = api.check(Dataset("made", "geojson", fields=fields, tasks=(task,)), max_per_rule=0)
    assert [dict(item.facts) for item in report.findings if item.rule.id == "internal.rule-failed"] == []
    for item in report.findings:
        assert item.rule.message.format(**item.facts)


@pytest.mark.parametrize("path", samples.SOUND, ids=lambda path: path.parent.name)
def test_the_sound_samples_give_notes_at_most(path: Path) -> None:
    report = api.check(path, max_per_rule=0)
    assert {item.severity for item in report.findings} <= {Severity.NOTE}

"""Coverage exported from a simulated drive, through files, back to width, passes and worked area.

The drive, its export and its ground share no code with the project.
"""

from __future__ import annotations

import geopandas
import numpy as np
import pandas
import pytest
import shapely
from geographiclib.geodesic import Geodesic

import taskdata
from taskdata.findings import Severity
from tests.fieldwork.build import degrees
from tests.fieldwork.simulated.swath_export import exported, ground
from tests.fieldwork.test_swath_geometry import _rows

START = np.datetime64("2024-04-18T07:00:00", "ms")


def _frame(*, sections=True, switched=8, times=True):
    """A shuffled layer of coverage in degrees of seven decimals, and the area of its ground in square metres."""
    done, on = _rows(0.003)
    random = np.random.default_rng(4)
    for _ in range(switched):
        first = int(random.integers(0, len(on)))
        on[first : first + int(random.integers(100, 600)), int(random.integers(0, 4))] = False
    polygons, seconds, widths = exported(done, on, rate=2.0, sections=sections)
    corners, owner = shapely.get_coordinates(polygons, return_index=True)
    places = np.round(degrees(corners), 7)
    rings = shapely.polygons(shapely.linearrings(places, indices=owner))
    columns = {"breite": widths, "nummer": np.arange(len(polygons))}
    if times:
        stamps = START + np.floor(seconds).astype("timedelta64[s]")
        columns["zeit"] = [str(stamp).replace("T", " ")[:19] for stamp in stamps]
    frame = geopandas.GeoDataFrame(columns, geometry=rings, crs=4326)
    return frame.sample(frac=1.0, random_state=1), _area(ground(polygons))


def _area(shape):
    """The area of ground in metres about the origin, laid on the ellipsoid by geographiclib."""
    total = 0.0
    for part in shapely.get_parts(shape):
        for number, ring in enumerate([part.exterior, *part.interiors]):
            polygon = Geodesic.WGS84.Polygon()
            for lon, lat in degrees(np.array(ring.coords)[:-1]):
                polygon.AddPoint(lat, lon)
            total += abs(polygon.Compute()[2]) * (1.0 if number == 0 else -1.0)
    return total


def _covered(path, truth, **reading):
    (found,) = taskdata.coverage(path, **reading).tasks
    assert found.areas.worked_m2 == pytest.approx(truth, rel=0.005)
    interval = found.areas.intervals["worked"]
    assert interval.low <= truth <= interval.high
    return found


@pytest.mark.parametrize("sections", [False, True])
def test_coverage_of_a_shapefile_and_of_the_set_made_of_it(tmp_path, sections):
    frame, truth = _frame(sections=sections)
    frame.to_file(tmp_path / "flaeche.shp")
    data = taskdata.read(tmp_path / "flaeche.shp", roles={"flaeche*": "swath"})
    (machine,), (task,) = data.machines, data.tasks
    assert machine.working_width_m == pytest.approx(12.0, abs=0.02)
    assert (task.name, len(data.fields)) == ("flaeche", 0)
    assert {swath.heading_deg is None for swath in task.swaths} == {False}
    first = [swath for swath in task.swaths if swath.order == 1]
    assert first[0].start.astype("datetime64[h]") == START.astype("datetime64[h]")
    assert abs((first[0].heading_deg + 180.0) % 360.0 - 180.0) < 20.0
    _covered(data, truth)
    done = taskdata.write(data, tmp_path / "out", to="isoxml")
    assert [loss.what for loss in done.losses if "positions" not in loss.what and "columns" not in loss.what] == []
    _covered(tmp_path / "out", truth)
    assert {item.rule.severity for item in taskdata.check(tmp_path / "out").findings} <= {Severity.NOTE}


@pytest.mark.parametrize("target", ["a.gpkg", "folder"])
def test_the_layer_swaths_says_what_the_coverage_said(tmp_path, target):
    frame, truth = _frame()
    frame.to_file(tmp_path / "cover.geojson")
    data = taskdata.read(tmp_path / "cover.geojson", roles={"*": "swath"})
    taskdata.write(data, tmp_path / target, to=None if target == "a.gpkg" else "geojson")
    stored = geopandas.read_file(
        tmp_path / target if target == "a.gpkg" else tmp_path / target / "swaths.geojson",
        **({"layer": "swaths"} if target == "a.gpkg" else {}),
    )
    assert set(stored.geom_type) == {"LineString"}
    assert {"order", "width_m", "heading_deg"} <= set(stored.columns)
    assert stored["width_m"].max() == pytest.approx(12.0, abs=0.02)
    again = taskdata.read(tmp_path / target)
    assert again.machines[0].working_width_m == pytest.approx(12.0, abs=0.02)
    assert len(again.tasks) == 1
    assert again.tasks[0].id == data.tasks[0].id
    assert len(again.tasks[0].logs) == len(data.tasks[0].logs)
    found, before = _covered(again, truth), _covered(data, truth)
    assert found.figures.working_time_s == pytest.approx(before.figures.working_time_s, rel=0.1)


def test_without_times_neither_order_nor_direction_is_made_up(tmp_path):
    frame, truth = _frame(times=False)
    frame.drop(columns="nummer").to_file(tmp_path / "cover.gpkg")
    data = taskdata.read(tmp_path / "cover.gpkg", roles={"*": "swath"})
    assert {(swath.order, swath.heading_deg) for swath in data.tasks[0].swaths} == {(None, None)}
    told = [item.rule.id for item in data.findings]
    assert told.count("import.driving-unknown") == 2
    _covered(data, truth)
    for target in ("gpkg", "shapefile"):
        taskdata.write(data, tmp_path / f"out.{target}", to=target)
        again = taskdata.read(tmp_path / f"out.{target}")
        assert {(swath.order, swath.heading_deg) for swath in again.tasks[0].swaths} == {(None, None)}


def test_damaged_rows_are_told_and_the_rest_counts(tmp_path):
    frame, truth = _frame(switched=0)
    broken = frame.copy()
    shapes = broken.geometry.to_numpy().copy()
    shapes[0], shapes[1] = None, shapely.Point(7.0, 54.3).buffer(0.001)
    shapes[2] = shapely.Polygon()
    shapes[3] = shapely.Polygon(np.array(shapes[3].exterior.coords)[[0, 2, 1, 3]])
    broken = broken.set_geometry(geopandas.GeoSeries(shapes, index=frame.index, crs=4326))
    broken.to_file(tmp_path / "cover.gpkg")
    data = taskdata.read(tmp_path / "cover.gpkg", roles={"*": "swath"})
    told = [item.message for item in data.findings if item.rule.id == "import.swath-rows-left-aside"]
    assert len(told) == 2
    assert any("2 rows, without" in text for text in told)
    assert any("1 polygon, not a strip" in text for text in told)
    assert data.machines[0].working_width_m == pytest.approx(12.0, abs=0.02)
    (found,) = taskdata.coverage(data).tasks
    assert found.areas.worked_m2 == pytest.approx(truth, rel=0.01)


def test_a_layer_of_nothing_but_outlines_leaves_findings_alone(tmp_path):
    frame = geopandas.GeoDataFrame(geometry=[shapely.Point(7.0, 54.3).buffer(0.001)], crs=4326)
    frame.to_file(tmp_path / "cover.gpkg")
    data = taskdata.read(tmp_path / "cover.gpkg", roles={"*": "swath"})
    assert (data.tasks, data.machines) == ((), ())
    assert "import.swath-rows-left-aside" in [item.rule.id for item in data.findings]


def test_a_stated_width_that_the_polygons_do_not_have_is_told(tmp_path):
    frame, _ = _frame(sections=False, switched=0)
    frame["breite"] = 11.0
    frame.to_file(tmp_path / "cover.gpkg")
    told = taskdata.read(tmp_path / "cover.gpkg", roles={"*": "swath"}, columns={"width": "breite"}).findings
    assert "import.swath-width-contradicts" in [item.rule.id for item in told]


def test_lines_named_swaths_need_only_the_width(tmp_path):
    ways = [degrees([(0.0, 0.0), (0.0, 200.0)]), degrees([(12.0, 200.0), (12.0, 0.0)])]
    lines = [shapely.LineString(way) for way in ways]
    frame = geopandas.GeoDataFrame({"order": [2, 1], "width_m": [12.0, 12.0]}, geometry=lines, crs=4326)
    frame.to_file(tmp_path / "swaths.geojson")
    data = taskdata.read(tmp_path / "swaths.geojson")
    assert [swath.heading_deg for swath in data.tasks[0].swaths] == pytest.approx([180.0, 0.0], abs=0.01)
    (found,) = taskdata.coverage(data).tasks
    assert found.areas.worked_m2 == pytest.approx(2 * 200.0 * 12.0, rel=1e-4)


def test_passes_are_planned_with_the_recovered_width(tmp_path):
    frame, _ = _frame(switched=0)
    frame.to_file(tmp_path / "cover.gpkg")
    roles = {"*": "swath"}
    taskdata.convert(tmp_path / "cover.gpkg", tmp_path / "out", to="isoxml", roles=roles, derive_fields=True)
    planned = taskdata.passes(taskdata.read(tmp_path / "out"), line="0")
    assert planned.plan.spacing_m == pytest.approx(12.0, abs=0.02)
    assert planned.plan.passes >= 5


def test_rows_of_several_polygons_and_rows_without_work(tmp_path):
    frame, truth = _frame(sections=False, switched=0)
    driven = frame.sort_values("nummer")
    group = np.arange(len(driven)) // 25
    parts = [shapely.MultiPolygon(list(driven.geometry[group == at])) for at in range(max(group) + 1)]
    several = geopandas.GeoDataFrame({"zeit": list(driven["zeit"])[::25]}, geometry=parts, crs=4326)
    several["an"] = 1
    idle = several.iloc[:3].copy()
    idle["an"] = 0
    idle = idle.set_geometry(idle.geometry.translate(0.01, 0.0))
    both = geopandas.GeoDataFrame(pandas.concat([several, idle]), crs=4326)
    both.to_file(tmp_path / "cover.gpkg")
    data = taskdata.read(tmp_path / "cover.gpkg", roles={"*": "swath"}, columns={"state": "an", "time": "zeit"})
    _covered(data, truth)
    assert len(data.tasks[0].logs) == 5
    told = [item.message for item in data.findings if item.rule.id == "import.swath-rows-left-aside"]
    assert told == ["Left aside of cover.gpkg: 3 rows, whose state says that no work was done."]


def test_a_row_far_away_does_not_spoil_the_rest(tmp_path):
    frame, truth = _frame(switched=0)
    shapes = frame.geometry.to_numpy().copy()
    corners = np.array(shapes[0].exterior.coords)
    far = shapely.Polygon(corners + np.array([40.0, 20.0]))
    frame = frame.set_geometry(geopandas.GeoSeries([far, *shapes[1:]], index=frame.index, crs=4326))
    frame.to_file(tmp_path / "cover.gpkg")
    data = taskdata.read(tmp_path / "cover.gpkg", roles={"*": "swath"})
    assert "1 row, farther than half a degree from the others" in " ".join(str(item.message) for item in data.findings)
    assert data.machines[0].working_width_m == pytest.approx(12.0, abs=0.02)
    (found,) = taskdata.coverage(data).tasks
    assert found.areas.worked_m2 == pytest.approx(truth, rel=0.005)

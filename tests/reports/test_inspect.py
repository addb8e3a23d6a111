"""What is in a set: figures against geographiclib (Karney's own implementation) on the coordinates of the files."""

from __future__ import annotations

import itertools
import json
import struct
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as Xml

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine
from taskdata.model.shapes import Area, AreaKind
from taskdata.reports.inspect import field_document, guidance_document, inspect_document
from taskdata.reports.inspect_text import inspect_text
from tests.documents import READING

SAMPLES = Path(__file__).parents[2] / "samples"
EARTH = Geodesic.WGS84
Course = list[tuple[float, float]]


@cache
def model(name: str) -> Dataset:
    return to_dataset(read_document(SAMPLES / name / "TASKDATA"))


def office_fields() -> list[Xml.Element]:
    folder = SAMPLES / "office" / "TASKDATA"
    files = ("TASKDATA.XML", "PFD00001.XML")
    return [item for file in files for item in Xml.parse(folder / file).getroot().findall("PFD")]  # noqa: S314


def course(line: Xml.Element) -> Course:
    """Latitude and longitude of the points of a line string, from the binary file where one is named."""
    found: Course = []
    for point in line.findall("PNT"):
        if point.get("J"):
            data = (SAMPLES / "office" / "TASKDATA" / f"{point.get('J')}.BIN").read_bytes()
            found += [(north / 1e16, east / 1e16) for north, east in struct.iter_unpack("<qq", data)]
        else:
            found.append((float(point.get("C", "")), float(point.get("D", ""))))
    return found


def ring_figures(ring: Course) -> tuple[float, float]:
    """Area and perimeter by geographiclib."""
    polygon = EARTH.Polygon()
    for lat, lon in ring[:-1] if ring[0] == ring[-1] else ring:
        polygon.AddPoint(lat, lon)
    _, perimeter, area = polygon.Compute(sign=True)
    return abs(area), perimeter


def test_areas_and_perimeters_are_those_of_geographiclib() -> None:
    fields = inspect_document(model("office"))["fields"]
    assert len(fields) == 5
    for found, element in zip(fields, office_fields(), strict=True):
        outer = [ring_figures(course(line)) for line in element.findall("PLN[@A='1']/LSG[@A='1']")]
        inner = [ring_figures(course(line)) for line in element.findall("PLN[@A='1']/LSG[@A='2']")]
        area = sum(size for size, _ in outer) - sum(size for size, _ in inner)
        assert found["area_m2"] == pytest.approx(area, rel=1e-9)
        assert found["perimeter_m"] == pytest.approx(sum(length for _, length in outer + inner), rel=1e-9)
        assert (found["polygons"], found["holes"]) == (len(outer), len(inner))
        assert found["area_m2"] == pytest.approx(found["declared_area_m2"], rel=1e-3)
    assert [(item["polygons"], item["holes"]) for item in fields] == [(1, 0), (1, 1), (1, 0), (2, 0), (1, 0)]


def test_lengths_and_headings_are_those_of_geographiclib() -> None:
    guidance = {line["id"]: line for line in inspect_document(model("office"))["guidance"]}
    patterns = [(field.get("A"), item) for field in office_fields() for item in field.iter("GPN")]
    assert len(guidance) == len(patterns) == 6
    for owner, pattern in patterns:
        found = guidance[pattern.get("A")]
        points = course(pattern.findall("LSG")[0])
        assert found["field"] == owner
        if found["kind"] in {"ab", "curve", "spiral"}:
            steps = [EARTH.Inverse(*a, *b)["s12"] for a, b in itertools.pairwise(points)]
            assert found["length_m"] == pytest.approx(sum(steps), rel=1e-9)
            azimuth = EARTH.Inverse(*points[0], *points[-1])["azi1"] % 360
            assert found["heading_deg"] == pytest.approx(azimuth, rel=1e-9)
        else:
            assert found["length_m"] is None
            assert found["heading_deg"] == (float(pattern.get("G", "")) if pattern.get("G") else None)
    kinds = [line["kind"] for line in guidance.values()]
    assert kinds == ["ab", "a_plus", "curve", "pivot", "pivot", "spiral"]
    assert (guidance["GPN4"]["radius_m"], guidance["GPN2"]["spacing_m"]) == (120.0, 3.0)


def rectangle(west: float, south: float, east: float, north: float) -> np.ndarray:
    return np.array([[west, south], [east, south], [east, north], [west, north]])


def test_several_outlines_with_holes_add_up() -> None:
    outer = (rectangle(7, 54, 7.01, 54.01), rectangle(7.02, 54, 7.03, 54.01))
    holes = (rectangle(7.022, 54.002, 7.024, 54.004), rectangle(7.002, 54.002, 7.003, 54.003))
    both = Field(id="PFD1", name="x", boundaries=(Area(AreaKind.BOUNDARY, outer, holes),))
    apart = Field(id="PFD1", name="x", boundaries=tuple(Area(AreaKind.BOUNDARY, (ring,)) for ring in outer))
    cut = [ring_figures([(lat, lon) for lon, lat in ring.tolist()])[0] for ring in holes]
    areas = [field_document(field)["area_m2"] for field in (both, apart)]
    assert areas[1] - areas[0] == pytest.approx(sum(cut), rel=1e-6)
    assert (field_document(both)["polygons"], field_document(both)["holes"]) == (2, 2)
    assert field_document(Field(id="PFD2", name="y"))["area_m2"] == 0.0


def test_lines_without_direction_have_no_heading() -> None:
    point = GuidanceLine(GuidanceKind.CURVE, np.array([[7.0, 54.0]]))
    same = GuidanceLine(GuidanceKind.AB, np.array([[7.0, 54.0], [7.0, 54.0]]))
    assert [guidance_document(line)["heading_deg"] for line in (point, same)] == [None, None]
    assert [guidance_document(line)["length_m"] for line in (point, same)] == [None, 0.0]


KEYS: dict[str, set[str]] = {
    "fields": {"id", "name", "area_m2", "perimeter_m", "declared_area_m2", "polygons", "holes"},
    "guidance": {"id", "name", "kind", "field", "length_m", "heading_deg", "spacing_m", "radius_m"},
    "machines": {"id", "name", "working_width_m", "sections", "connectors", "client_name"},
    "tasks": {"id", "name", "status", "field", "logs", "grid"},
    "customers": {"id", "name", "first_name"},
    "farms": {"id", "name", "customer"},
    "products": {"id", "name", "mixture"},
    "workers": {"id", "name", "first_name"},
    "crops": {"id", "name", "varieties"},
}


@pytest.mark.parametrize("name", ["office", "machine", "older", "broken"])
def test_the_document_is_plain_json_with_all_its_keys(name: str) -> None:
    found = inspect_document(model(name))
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert set(found) == {"source", "format", "version", "origin", "counts", "centre", "bounds", *KEYS, *READING}
    for part, keys in KEYS.items():
        assert found[part] or (name, part) == ("broken", "crops")  # the only list that a sample leaves empty
        assert all(set(item) == keys for item in found[part])


def test_tasks_with_logs_and_grids() -> None:
    found: list[dict[str, Any]] = inspect_document(model("machine"))["tasks"]
    tasks = {task["id"]: task for task in found}
    assert tasks["TSK2"]["grid"] == {"type": 1, "columns": 18, "rows": 15, "read": True}
    assert tasks["TSK1"]["status"] == "completed"
    (log,) = tasks["TSK1"]["logs"]
    folder = SAMPLES / "machine" / "TASKDATA"
    milliseconds, day = struct.unpack_from("<IH", (folder / "TLG00001.BIN").read_bytes())
    start = np.datetime64("1980-01-01", "ms") + np.timedelta64(day * 86_400_000 + milliseconds, "ms")
    assert np.datetime64(log["start"]) == start
    assert log["file"] == "TLG00001"
    assert log["records"] > 1000
    assert log["end"] > log["start"]
    lost = [log for task in inspect_document(model("broken"))["tasks"] for log in task["logs"]]
    assert {"file": "TLG00002", "records": None, "start": None, "end": None} in lost


@pytest.mark.parametrize("name", ["office", "machine", "older", "broken"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_text_names_everything_in_eighty_columns(name: str, units: Any) -> None:
    text = inspect_text(model(name), units)
    assert all(len(line) <= 80 for line in text.splitlines())
    data = model(name)
    for record in (*data.farms, *data.fields, *data.guidance, *data.machines, *data.tasks):
        assert record.id is None or record.id in text
    for log in (log for task in data.tasks for log in task.logs):
        assert log.file in text
    assert "check the first pass by eye" in " ".join(text.split())


def test_units_change_what_is_shown() -> None:
    """1 acre = 4046.8564224 m², 1 foot = 0.3048 m (international yard and pound agreement of 1959)."""
    found = inspect_document(model("office"))["fields"][0]
    metric, us = (inspect_text(model("office"), units) for units in ("metric", "us"))  # type: ignore[arg-type]
    assert f"{found['name']}: {found['area_m2'] / 1e4:.2f} ha, perimeter {found['perimeter_m']:.0f} m" in metric
    assert f"{found['area_m2'] / 4046.8564224:.2f} ac, perimeter {found['perimeter_m'] / 0.3048:.0f} ft" in us
    assert "spacing 24.00 m" in " ".join(metric.split())
    assert "spacing 78.74 ft" in " ".join(us.split())


def test_an_empty_set_is_a_title() -> None:
    assert inspect_text(Dataset("nothing", "geojson")) == "nothing\nGeoJSON"

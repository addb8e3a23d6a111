"""Coverage of whole sets: a turning boom from files, the samples against other ways to reckon, layers as tracks."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from taskdata import Implement, coverage, read
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Line, LineKind
from tests import samples
from tests.fieldwork import build, file_set
from tests.geometry.drives import counted
from tests.heavy import HEAVY
from tests.sample_reading import get, read_log

STEPS = 600


def turning(folder: Path, radius: float, degrees: float) -> Path:
    """A tractor with a boom of 12 sections of 2 m behind it, of which the outer four on the left work, in a circle."""
    angle = np.radians(np.linspace(-20.0, degrees + 20.0, STEPS + 1))
    antenna = np.column_stack([-radius * np.cos(angle), radius * np.sin(angle)])
    works = (angle >= -1e-9) & (angle < math.radians(degrees) - 1e-9)
    tractor = file_set.device(
        1,
        [
            (1, -1, {}, []),
            (7, 0, {134: 1000, 135: 0, 136: -3000}, []),
            (6, 0, {134: -1500, 135: 0, 136: 0, 157: 3}, []),
        ],
    )
    sections = [(4, 2, {135: -11_000 + 2000 * index, 67: 2000}, []) for index in range(12)]
    sprayer = file_set.device(
        2,
        [
            (1, -1, {}, []),
            (6, 0, {134: 500, 135: 0, 136: 0, 157: 3}, []),
            (2, 0, {134: -1000, 135: 0, 70: 24_000}, [161]),
            *sections,
        ],
    )
    states = [build.condensed([1] * 4 + [0] * 8) if on else build.condensed([0] * 12) for on in works]
    places = build.degrees(antenna)
    records = [
        (0.2 * index, lon, lat, {0: state})
        for index, ((lon, lat), state) in enumerate(zip(places, states, strict=True))
    ]
    links = [("DVC1", "DET102", "DVC2", "DET201")]
    return file_set.write(folder / "TASKDATA", [tractor, sprayer], links, [(161, "DET202")], records)


def test_a_turning_boom_covers_a_sector(tmp_path: Path) -> None:
    # Turning right about a point at 40 m: the left sections lie outside, 44 to 52 m from the centre.
    (found,) = coverage(turning(tmp_path, 40.0, 90.0)).tasks
    angle = np.linspace(-20.0, 110.0, STEPS + 1)
    done = np.radians(130.0) / STEPS * ((angle >= 0.0) & (angle < 90.0)).sum()
    # The antenna is 1 m ahead of the rear axle, which therefore runs at the root of 40² - 1². A boom that lies at
    # (d, y) in the axes of the machine sweeps the angle times (r2² - r1²) / 2, whatever d.
    axle = math.sqrt(40.0**2 - 1.0)
    assert found.areas.applied_m2 == pytest.approx(done / 2 * ((axle + 12.0) ** 2 - (axle + 4.0) ** 2), rel=5e-4)
    assert found.areas.double_m2 == pytest.approx(0.0, abs=0.01)
    # The middle of the boom is 1.5 + 0.5 + 1.0 = 3 m behind the axle.
    # A log holds positions to 1e-7 degree, 1 cm, which makes steps of 15 cm about 0.1 % longer.
    assert found.figures.distance_m == pytest.approx(done * math.hypot(axle, 3.0), rel=2e-3)
    plane = LocalPlane(build.LON, build.LAT)
    radii = np.hypot(*shapely.get_coordinates(shapely.transform(found.ground["worked"], plane.forward)).T)
    assert radii.min() == pytest.approx(math.hypot(axle + 4.0, 3.0), abs=0.05)
    assert radii.max() == pytest.approx(math.hypot(axle + 12.0, 3.0), abs=0.05)
    assert [note.rule.id for note in found.notes] == ["coverage.no-field"]


def test_a_wild_drive_is_that_of_a_raster_of_two_centimetres() -> None:
    random = np.random.default_rng(20260504)
    heading = np.cumsum(random.normal(0.0, 0.25, 60))
    heading = np.interp(np.arange(0.0, 59.0, 0.25), np.arange(60.0), heading)
    places = np.cumsum(np.column_stack([np.sin(heading), np.cos(heading)]) * 0.2, axis=0)
    on = np.repeat(np.cumsum(random.random((59, 4)) < 0.15, axis=0) % 2 == 0, 4, axis=0)
    values = {(161, "DET21"): np.array([build.condensed(row.astype(int)) for row in on])}
    found = build.covered([build.log(places, values)], [build.sprayer([700] * 4)])
    strips = second_way(places, on, [-1.4, -0.7, 0.0, 0.7, 1.4], 0.0, window=3.0)
    areas = counted(strips, 0.02)
    for level, area in ((1, found.areas.worked_m2), (2, found.areas.double_m2), (3, found.areas.triple_m2)):
        assert area == pytest.approx(areas[level:].sum(), abs=0.05)
    coarse = build.covered([build.log(places, values)], [build.sprayer([700] * 4)], cell_m=0.1)
    assert coarse.areas.worked_m2 == pytest.approx(areas[1:].sum(), abs=coarse.areas.uncertainty_m2)


def second_way(places, on, edges, back: float, *, window: float, axle: float = 0.0):
    """Edges of sections along a drive, reckoned place by place.

    The direction is a chord of the track. The axle lies ``axle`` behind the antenna and turns as it is pulled: by the
    part of the way across it, divided by that length.
    """
    travelled = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    left, right, heading = [], [], None
    for index in range(len(places)):
        spots = np.clip(travelled[index] + np.array([-window / 2, window / 2]), 0.0, travelled[-1])
        ends = [np.array([np.interp(spot, travelled, axis) for axis in places.T]) for spot in spots]
        course = math.atan2(*(ends[1] - ends[0]))
        if heading is None or not axle:
            heading = course
        else:
            heading += math.sin(course - heading) * (travelled[index] - travelled[index - 1]) / axle
        ahead = np.array([math.sin(heading), math.cos(heading)])
        aside = np.array([ahead[1], -ahead[0]])
        bar = [places[index] - back * ahead + edge * aside for edge in edges]
        left.append(bar[:-1])
        right.append(bar[1:])
    return SimpleNamespace(left=np.array(left), right=np.array(right), active=np.asarray(on)[:-1])


def rounded(places, on, pieces: int):
    """A drive with places between, on cubic curves through its own (Catmull and Rom 1974), each with its states."""
    before, after = places[[0, *range(len(places) - 1)]], places[[*range(1, len(places)), -1]]
    tangents = (after - before) / 2.0
    share = np.arange(pieces)[:, np.newaxis, np.newaxis] / pieces
    start, end, out, into = places[:-1], places[1:], tangents[:-1], tangents[1:]
    curve = start * (1 + 2 * share) * (1 - share) ** 2 + out * share * (1 - share) ** 2
    curve = curve + end * share**2 * (3 - 2 * share) + into * share**2 * (share - 1)
    whole = np.concatenate([curve.transpose(1, 0, 2).reshape(-1, 2), places[-1:]])
    return whole, np.append(np.repeat(on[:-1], pieces, axis=0), on[-1:], axis=0)


def brook():
    """Seconds, places in metres and states of the sections of the third log, read by the standard library alone."""
    records, header = read_log(samples.MACHINE, "TLG00003")
    channel = [get(node, "ProcessDataDDI") for node in header.findall("DLV")].index("00A1")
    state, seconds, degrees, states = 0, [], [], []
    for raw, changed in records:
        state = changed.get(channel, state)
        if raw["PositionNorth"] != -1:
            seconds.append(raw["TimeStartTimeOfDay"] / 1000)
            degrees.append((raw["PositionEast"] / 1e7, raw["PositionNorth"] / 1e7))
            states.append([(state >> 2 * place) & 3 == 1 for place in range(9)])
    lon, lat = np.radians(degrees).T
    middle, squared = lat.mean(), 0.0066943799901413165
    curve = np.sqrt(1 - squared * np.sin(middle) ** 2)
    east = 6_378_137.0 / curve * np.cos(middle) * (lon - lon.mean())
    north = 6_378_137.0 * (1 - squared) / curve**3 * (lat - middle)
    return np.array(seconds), np.column_stack([east, north]), np.array(states)


def test_the_sprayer_by_the_brook_is_that_of_a_second_implementation() -> None:
    seconds, places, states = brook()
    edges = np.concatenate([[0.0], np.cumsum([3.0, 3.0, 2.5, 2.5, 2.0, 2.5, 2.5, 3.0, 3.0])]) - 12.0
    stretches = [
        second_way(*rounded(places[part], states[part], 8), edges, 0.6 + 1.15 + 1.7, window=3.0, axle=0.6)
        for part in np.split(np.arange(len(places)), np.flatnonzero(np.diff(seconds) > 5.0) + 1)
    ]
    joined = joined_up(stretches)
    areas = counted(joined, 0.1 if HEAVY else 0.2)
    (found,) = coverage(samples.MACHINE, task="TSK-1").tasks
    # Corners of the headland, 3 m and 20 degrees from one record to the next, are rounded by another curve.
    assert found.areas.worked_m2 == pytest.approx(areas[1:].sum(), rel=3e-4)
    assert found.areas.double_m2 == pytest.approx(areas[2:].sum(), rel=5e-2)
    assert found.areas.applied_m2 == pytest.approx((areas * np.arange(len(areas))).sum(), rel=4e-4)
    middles = (joined.left[:, 4] + joined.right[:, 4]) / 2
    way = np.hypot(*np.diff(middles, axis=0).T)[joined.active.any(axis=1)].sum()
    assert found.figures.distance_m == pytest.approx(way, rel=1e-3)


def joined_up(stretches):
    """Stretches as one, with nothing active from one to the next."""
    active = [np.vstack([part.active, np.zeros_like(part.active[:1])]) for part in stretches]
    left, right = (np.concatenate([getattr(part, side) for part in stretches]) for side in ("left", "right"))
    return SimpleNamespace(left=left, right=right, active=np.concatenate(active)[:-1])


@pytest.mark.parametrize(("task", "log", "missing"), [("TSK3", "TLG00002", 0.0), ("TSK-1", "TLG00003", 2136.0)])
def test_ground_and_product_are_those_that_the_machine_counted(task: str, log: str, missing: float) -> None:
    records, header = read_log(samples.MACHINE, log)
    ddis = [get(node, "ProcessDataDDI") for node in header.findall("DLV")]
    counted_m2 = max(changed[ddis.index("0074")] for _, changed in records if ddis.index("0074") in changed)
    (found,) = coverage(samples.MACHINE, task=task).tasks
    assert found.areas.applied_m2 + missing == pytest.approx(counted_m2, rel=0.01)
    for rate in found.rates:
        assert rate.logged_total is not None
        assert rate.applied + missing * rate.mean == pytest.approx(rate.logged_total, rel=0.01)


def test_vector_and_raster_agree_on_the_samples() -> None:
    exact = coverage(samples.MACHINE).tasks
    coarse = coverage(samples.MACHINE, cell_m=0.5).tasks
    assert [item.task for item in exact] == ["TSK1", "TSK3", "TSK-1"]
    for one, two in zip(exact, coarse, strict=True):
        assert one.areas.worked_m2 == pytest.approx(two.areas.worked_m2, abs=two.areas.uncertainty_m2)
        assert one.areas.applied_m2 == pytest.approx(two.areas.applied_m2, rel=2e-4)
        left = one.areas.field_m2 - one.areas.worked_m2 + one.areas.outside_m2
        assert one.areas.missed_m2 == pytest.approx(left, abs=0.05)


def test_an_implement_by_hand_covers_what_the_described_one_did() -> None:
    described, by_hand = (
        coverage(samples.MACHINE, task="TSK3", implement=implement).tasks[0]
        for implement in (None, Implement(width_m=3.0, offset_back_m=2.95))
    )
    # The drill switches its halves apart at the ends of passes only.
    assert by_hand.areas.worked_m2 == pytest.approx(described.areas.worked_m2, rel=0.01)
    assert by_hand.areas.worked_m2 >= described.areas.worked_m2 * (1.0 - 1e-12)  # but for the rounding of sums


def test_tasks_of_one_operation_on_a_field_go_together() -> None:
    first, second = build.passes(2, 10.0, 100.0), build.passes(3, 10.0, 100.0)
    machine, ground = build.sprayer([5000, 5000]), build.field([(-5, 0), (40, 0), (40, 100), (-5, 100)])
    one = build.dataset([first], [machine], [ground], practice="CPC1")
    (task,) = one.tasks
    for practice, rows in (("CPC1", ["TSK1+TSK2"]), ("CPC2", ["TSK1", "TSK2"])):
        other = build.dataset([second], [machine], [ground], practice=practice).tasks[0]
        other = type(task)(**{**vars(other), "id": "TSK2"})
        found = coverage(one.with_changes(tasks=(task, other)), together=True).tasks
        assert [item.task for item in found] == rows
    (joined,) = coverage(
        one.with_changes(tasks=(task, type(task)(**{**vars(task), "id": "TSK2"}))), together=True
    ).tasks
    assert joined.areas.applied_m2 == pytest.approx(4000.0, rel=1e-5)
    assert (joined.areas.worked_m2, joined.areas.double_m2) == (pytest.approx(2000.0), pytest.approx(2000.0))
    assert joined.figures.distance_m == pytest.approx(400.0, rel=1e-5)


def geojson(path: Path, *features: tuple[str, object]) -> Path:
    collection = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": {}, "geometry": {"type": kind, "coordinates": coordinates}}
            for kind, coordinates in features
        ],
    }
    path.write_text(json.dumps(collection))
    return path


def test_a_line_is_a_track_when_the_width_is_given(tmp_path: Path) -> None:
    line = build.degrees([*build.straight(150.0), (10, 160), *build.straight(150.0, x=20.0, back=True)]).tolist()
    source = geojson(tmp_path / "track.geojson", ("LineString", line))
    (found,) = coverage(source, implement=Implement(width_m=4.0)).tasks
    assert [note.rule.id for note in found.notes][-1] == "coverage.no-offset"
    assert "coverage.line-as-track" in [note.rule.id for note in found.notes]
    assert found.areas.worked_m2 == pytest.approx(4.0 * 328.3, rel=0.02)
    assert found.figures.distance_m == pytest.approx(300.0 + 2 * 200**0.5, rel=1e-3)
    assert found.figures.efficiency is None
    assert coverage(source).tasks == ()


def test_a_fence_is_no_track(tmp_path: Path) -> None:
    """A guidance line goes before a line of no stated kind, and what a machine stays clear of is never one."""
    line = build.degrees(build.straight(150.0))
    made = Dataset(
        source="x",
        format="geojson",
        fields=(Field(id="PFD1", name="Kuhle", lines=(Line(LineKind.FENCE, line), Line(LineKind.FLAG, line))),),
    )
    width = Implement(width_m=4.0)
    assert len(coverage(made, implement=width).tasks) == 1
    only = replace(made.fields[0], lines=made.fields[0].lines[:1])
    assert coverage(made.with_changes(fields=(only,)), implement=width).tasks == ()


def test_points_are_a_track_in_their_order_and_a_field_is_found(tmp_path: Path) -> None:
    points = [("Point", place) for place in build.degrees(build.straight(100.0, 2.0)).tolist()]
    ring = build.degrees([(-10, -10), (10, -10), (10, 110), (-10, 110), (-10, -10)]).tolist()
    source = geojson(tmp_path / "points.geojson", ("Polygon", [ring]), *points)
    (found,) = coverage(source, implement=Implement(width_m=5.0)).tasks
    assert found.areas.worked_m2 == pytest.approx(500.0, rel=1e-4)
    assert found.areas.missed_m2 == pytest.approx(2400.0 - 500.0, rel=1e-4)


@pytest.mark.parametrize(
    ("target", "to", "inner"),
    [
        ("out.gpkg", None, ""),
        ("out.geojson", None, ""),
        ("out.json", None, ""),
        ("out.parquet", None, ""),
        ("out", "geojson", "coverage.geojson"),
        ("out", "shapefile", "coverage.shp"),
        ("out", "parquet", "coverage.parquet"),
    ],
)
def test_places_are_written_as_a_layer_of_any_format(tmp_path: Path, target: str, to: str | None, inner: str) -> None:
    done = coverage(samples.MACHINE, task="TSK-1", output=tmp_path / target, to=to)
    (found,) = done.tasks
    assert done.written is not None
    rows = list(layer_rows(tmp_path / target / inner))
    assert [item.name for item in tmp_path.iterdir()] == [target]
    runs = {"runs": sum(len(part.rate) for part in found.runs)} if inner or target.endswith(".gpkg") else {}
    assert done.written.written == {"places": len(rows)} | runs
    assert {kind for kind, _, _ in rows} == {"worked", "double", "missed", "missed-late"}
    worked = [(area, shape) for kind, area, shape in rows if kind == "worked"]
    assert sum(area for area, _ in worked) == pytest.approx(found.areas.worked_m2, rel=1e-6)
    assert sum(shape.area for _, shape in worked) == pytest.approx(found.ground["worked"].area, rel=1e-6)
    missed = sum(area for kind, area, _ in rows if kind in {"missed", "missed-late"})
    assert missed == pytest.approx(found.areas.missed_m2, abs=0.5 * (found.areas.missed_ignored or 0) + 0.1)


def layer_rows(path: Path):
    """Kind, area and geometry of the rows, read by a general-purpose library."""
    import pyarrow.parquet as pq
    import pyogrio

    layer = "coverage" if path.suffix == ".gpkg" else None
    table = pq.read_table(path) if path.suffix == ".parquet" else pyogrio.read_arrow(path, layer=layer)[1]
    geometry = next(name for name in table.column_names if name in {"geometry", "geom", "wkb_geometry"})
    columns = (table[name].to_pylist() for name in ("kind", "area_m2", geometry))
    yield from ((kind, area, shapely.from_wkb(shape)) for kind, area, shape in zip(*columns, strict=True))


def test_places_go_back_into_the_set_as_areas_of_its_fields(tmp_path: Path) -> None:
    done = coverage(samples.MACHINE, output=tmp_path / "TASKDATA")
    before, after = read(samples.MACHINE), read(tmp_path / "TASKDATA")
    assert done.written is not None
    for field, again in zip(before.fields, after.fields, strict=True):
        new = again.areas[len(field.areas) :]
        tasks = [item for item in done.tasks if item.field == field.id]
        assert bool(new) == bool(tasks)
        assert {area.name.partition(" ")[2] for area in new} == {item.task for item in tasks}
    assert len(after.tasks) == len(before.tasks)
    drawn = [area for field in after.fields for area in field.areas if area.name == "worked TSK-1"]
    size = sum(abs(shapely.Polygon(area.exteriors[0], area.interiors).area) for area in drawn)
    task = next(item for item in done.tasks if item.task == "TSK-1")
    assert size == pytest.approx(task.ground["worked"].area, rel=2e-3)

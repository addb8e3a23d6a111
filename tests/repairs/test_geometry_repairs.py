"""Repairs of geometry against a geodesic library: outlines move by no more than they say."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.repairs.geometry.near_repeated_point import apart
from taskdata.repairs.run import clean
from tests.samples import STICKS

RULES = Path(__file__).parents[1] / "rules"


def first_ring(document: Document) -> np.ndarray:
    return np.asarray(to_dataset(document).fields[0].boundaries[0].exteriors[0])


def metres(one: np.ndarray, two: np.ndarray) -> float:
    return float(Geodesic.WGS84.Inverse(one[1], one[0], two[1], two[0])["s12"])


def test_a_spike_goes_and_all_other_corners_stay() -> None:
    document = read_document(RULES / "geometry.spike" / "bad")
    before = first_ring(document)
    after = first_ring(clean(document, review=True, only=["geometry.spike"])[0])
    gone = [point for point in before.tolist() if point not in after.tolist()]
    assert gone == [[7.002151397, 54.300453659]]
    assert (after[0] == after[-1]).all()


def test_no_ring_loses_the_point_of_a_spike_of_another() -> None:
    document = read_document(RULES / "geometry.spike" / "bad")
    polygon = document.by_tag["PLN"][0]
    hole = Element("LSG", {"A": "2"}, file=polygon.file)
    for lat, lon in ((54.300453659, 7.002151397), (54.3004, 7.0021), (54.3005, 7.0021), (54.300453659, 7.002151397)):
        hole.append(Element("PNT", {"A": "2", "C": f"{lat:.9f}", "D": f"{lon:.9f}"}, file=polygon.file))
    polygon.children = [hole, *polygon.children]
    cleaned, changes, _ = clean(document, review=True, only=["geometry.spike"])
    assert not changes
    assert len(to_dataset(cleaned).fields[0].boundaries[0].interiors[0]) == 4


@pytest.mark.parametrize("name", ["swapped-coordinates", "lost-sign"])
def test_lost_shapes_come_home_and_the_others_stay(name: str) -> None:
    for folder in sorted((RULES / f"geometry.{name}").glob("bad*")):
        before = to_dataset(read_document(folder))
        cleaned, changes, _ = clean(read_document(folder), review=True, only=[f"geometry.{name}"])
        after = to_dataset(cleaned)
        homes = [field.boundaries[0].exteriors[0][0] for field in after.fields]
        assert changes
        assert max(metres(homes[0], home) for home in homes) < 25_000.0
        moved = {change.element for change in changes}
        for old, new in zip(before.fields, after.fields, strict=True):
            same = np.array_equal(old.boundaries[0].exteriors[0], new.boundaries[0].exteriors[0])
            assert same == (old.id not in moved)
            digits = np.sort(np.abs(old.boundaries[0].exteriors[0]), axis=1)
            assert np.array_equal(digits, np.sort(np.abs(new.boundaries[0].exteriors[0]), axis=1))


def test_points_that_go_lie_within_the_distance_of_one_that_stays() -> None:
    random = np.random.default_rng(7)
    points = np.array([7.0, 54.3]) + np.cumsum(random.uniform(-2e-7, 2e-7, (400, 2)), axis=0)
    kept = apart(points, 0.02)
    assert kept[0]
    assert kept[-1]
    left = points[kept]
    assert 2 < len(left) < len(points)
    assert min(metres(one, two) for one, two in pairwise(left)) > 0.0199
    for point in points[~kept]:
        assert min(metres(point, other) for other in left) < 0.0401


def geodesic_area(ring: np.ndarray) -> float:
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in ring:
        polygon.AddPoint(lat, lon)
    return abs(float(polygon.Compute()[2]))


def test_corners_in_the_wrong_order_are_put_right_where_the_stated_area_tells() -> None:
    document = read_document(RULES / "geometry.self-crossing" / "bad")
    before = first_ring(document)
    for stated, rings in (("8000", 1), ("0", 2), ("3623", 2)):
        document.by_id["PFD1"].set("PartfieldArea", stated)
        cleaned, changes, _ = clean(document, review=True, only=["geometry.self-crossing"])
        assert [change.rule for change in changes] == ["geometry.self-crossing"]
        found = [ring for area in to_dataset(cleaned).fields[0].boundaries for ring in area.exteriors]
        assert len(found) == rings
    document.by_id["PFD1"].set("PartfieldArea", "8000")
    after = first_ring(clean(document, review=True, only=["geometry.self-crossing"])[0])
    assert sorted(after.tolist()) == sorted(before.tolist())
    assert geodesic_area(after) == pytest.approx(7246.6, abs=0.1)


@pytest.mark.parametrize("corner", [("0.0", "0.0"), ("54.5000", "7.3000"), ("95.0", "7.0")])
def test_no_outline_is_made_that_contradicts_the_stated_area(corner: tuple[str, str]) -> None:
    """Half a field is worse than a field that cannot be used: the fault stays to be seen."""
    document = read_document(RULES / "geometry.self-crossing" / "bad")
    corners = [("54.3000", "7.0000"), ("54.3000", "7.0010"), corner, ("54.3010", "7.0000"), ("54.3000", "7.0000")]
    string = document.by_tag["LSG"][0]
    string.children = []
    for north, east in corners:
        string.append(Element("PNT", {"A": "2", "C": north, "D": east}, file=string.file))
    cleaned, changes, _ = clean(document, review=True)
    assert changes == ()
    assert np.array_equal(first_ring(cleaned), first_ring(document))
    document.by_id["PFD1"].set("PartfieldArea", "3623")
    cleaned, changes, _ = clean(document, review=True)
    assert bool(changes) == (corner[0] != "95.0")


def test_a_small_loop_that_the_stated_area_cannot_tell_of_keeps_its_ground() -> None:
    """Its 9 m² are a thousandth of the field: both ways to read it agree with the stated area."""
    document = read_document(STICKS[1])
    before = next(field for field in to_dataset(document).fields if field.id == "PFD-1").boundaries[0].exteriors[0]
    cleaned, changes, _ = clean(document, review=True, only=["geometry.self-crossing"])
    after = next(field for field in to_dataset(cleaned).fields if field.id == "PFD-1").boundaries[0].exteriors
    assert [change.rule for change in changes] == ["geometry.self-crossing"]
    wanted = shapely.make_valid(shapely.Polygon(before), method="structure", keep_collapsed=False)
    largest = max(shapely.get_parts(wanted), key=shapely.area)
    assert len(after) == 1
    assert shapely.area(shapely.symmetric_difference(shapely.Polygon(after[0]), largest)) < 1e-6 * largest.area


@pytest.mark.parametrize(
    ("width", "north", "gone"),
    [
        pytest.param(2e-3, 54.3, [], id="the hole begins where a sound outline does"),
        pytest.param(1e-6, 54.3, [], id="both are slivers and begin at one point"),
        pytest.param(1e-6, 54.3000002, ["a polygon"], id="the hole goes with its polygon"),
    ],
)
def test_what_is_no_sliver_stays_and_what_goes_is_told_once(width: float, north: float, gone: list[str]) -> None:
    document = read_document(RULES / "geometry.sliver" / "bad")
    polygon = document.by_tag["PLN"][0]
    field = polygon.parent
    assert field is not None
    for kind, shapes in (("sound", [(54.31, 2e-3)]), ("tried", [(54.3, width), (north, 5e-7)])):
        made = Element("PLN", {"A": "1"}, file=polygon.file) if kind == "sound" else polygon
        made.children = []
        for number, (south, high) in enumerate(shapes):
            string = Element("LSG", {"A": str(number + 1)}, file=polygon.file)
            east = 7.004 - number * 1e-3
            for lat, lon in ((south, 7.0), (south, east), (south + high, east), (south + high, 7.0), (south, 7.0)):
                string.append(Element("PNT", {"A": "2", "C": f"{lat:.9f}", "D": f"{lon:.9f}"}, file=polygon.file))
            made.append(string)
        if kind == "sound":
            field.append(made)
    cleaned, changes, failed = clean(document, review=True, only=["geometry.sliver"])
    assert ([change.before for change in changes], list(failed)) == (gone, [])
    assert len(to_dataset(cleaned).fields[0].boundaries) == 2 - len(gone)

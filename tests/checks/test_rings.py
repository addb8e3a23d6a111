"""Rings are judged in bulk as GEOS judges each of them alone, and holes as the shapes lie."""

from __future__ import annotations

import numpy as np
import shapely

from taskdata.checks.geometry._holes import Fault, holes
from taskdata.checks.geometry._rings import rings
from taskdata.checks.subject import Subject
from taskdata.geometry.rings import close, distinct_count
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.model.dataset import Dataset


def ring(kind: str, points: list[tuple[float, float]]) -> Element:
    element = Element("LSG", {"A": kind})
    lon, lat = ([f"{value:.7f}" for value in column] for column in zip(*points, strict=True))
    element.append(PointRun.of({"A": ["2"] * len(points), "C": lat, "D": lon}))
    return element


def subject(*polygons: list[Element]) -> Subject:
    root = Element("ISO11783_TaskData", {"VersionMajor": "4", "VersionMinor": "3"})
    for lines in polygons:
        polygon = Element("PLN", {"A": "1"})
        root.append(polygon)
        for line in lines:
            polygon.append(line)
    return Subject(Document("made", [XmlFile("TASKDATA.XML", "main", root)]), Dataset("made", "isoxml", (4, 3)))


def square(west: float, south: float, side: float) -> list[tuple[float, float]]:
    east, north = west + side, south + side
    return [(west, south), (east, south), (east, north), (west, north), (west, south)]


def test_each_ring_is_judged_as_geos_judges_it_alone() -> None:
    draw = np.random.default_rng(1)
    spots = [(7.0 + x / 1000, 54.0 + y / 1000) for x in range(4) for y in range(4)]
    shapes = [[spots[at] for at in draw.integers(len(spots), size=draw.integers(1, 8))] for _ in range(400)]
    found = rings(subject(*([ring("1", points)] for points in shapes)))
    assert [min(distinct_count(points), 3) for points in shapes] == found.distinct.tolist()
    alone = [distinct_count(points) > 2 and shapely.is_valid(shapely.Polygon(close(points))) for points in shapes]
    assert alone == found.valid.tolist()
    assert 20 < sum(alone) < 380


def test_a_ring_across_the_antimeridian_is_one_piece() -> None:
    points = [(179.9995, -17.0), (-179.9995, -17.0), (-179.9995, -16.999), (179.9995, -16.999), (179.9995, -17.0)]
    found = rings(subject([ring("1", points)], [ring("1", square(7.0, 54.0, 0.001))]))
    assert found.valid.all()
    # A width of 0.001 degrees and a height of 0.001 degrees.
    assert np.allclose(shapely.area(found.shapes([0, 1])), 1e-6)


def test_many_holes_give_the_same_as_few() -> None:
    inner = [ring("2", square(7.01 + x / 100, 54.01 + y / 100, 0.005)) for x in range(7) for y in range(7)]
    crossing = ring("2", square(7.012, 54.012, 0.005))
    nested = ring("2", square(7.021, 54.021, 0.001))
    for count in (6, len(inner)):
        chosen = [*inner[:1], *inner[8:9], *[item for item in inner[1:count] if item is not inner[8]]]
        made = subject([ring("1", square(7.0, 54.0, 1.0)), *[copy(item) for item in (*chosen, crossing, nested)]])
        assert [hole.ring.points[0].tolist() for hole in holes(made, Fault.CROSSES_INNER)] == [[7.012, 54.012]]
        assert [hole.ring.points[0].tolist() for hole in holes(made, Fault.INSIDE_INNER)] == [[7.021, 54.021]]
        assert not list(holes(made, Fault.OUTSIDE))


def copy(element: Element) -> Element:
    points = [(float(lon), float(lat)) for lon, lat in element.coordinates().tolist()]
    return ring(element.attributes["A"], points)

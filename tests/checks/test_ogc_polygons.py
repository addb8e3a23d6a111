"""Polygons that are and are not valid by OGC 06-103r4, 6.1.11, against GEOS and against this program's rules.

The cases are those of its figures of polygons, of objects that are no polygon, of multipolygons and of objects that
are no multipolygon, and of its assertions beside them, with coordinates of our own in units of 20 m.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import shapely

from taskdata import api
from taskdata.checks._courses import Course, Courses
from taskdata.model.shapes import Area, AreaKind

Ring = list[tuple[float, float]]
OUTER: Ring = [(0, 0), (10, 0), (10, 10), (0, 10)]
LOW: Ring = [(1, 1), (4, 1), (4, 4), (1, 4)]
HIGH: Ring = [(6, 6), (9, 6), (9, 9), (6, 9)]
LON, LAT, UNIT = 7.0, 54.3, 20.0
EAST, NORTH = 65074.0, 111317.0  # metres of a degree there, roughly
VERDICTS = {
    "import.bad-geometry",
    "geometry.self-crossing",
    "geometry.hole-crossing",
    "geometry.hole-outside",
    "geometry.hole-in-hole",
}


@dataclass(frozen=True)
class Case:
    """Polygons as lists of rings, the outer one first; whether OGC takes them as one object."""

    name: str
    polygons: list[list[Ring]]
    valid: bool
    lenient: bool = False  # ISO 11783-10 D.39 lets inner rings touch, which these do


CASES = (
    Case("one ring", [[OUTER]], True),
    Case("two rings", [[OUTER, LOW]], True),
    Case("three rings", [[OUTER, LOW, HIGH]], True),
    Case("a hole that touches the outer ring at a point", [[OUTER, [(0, 5), (4, 3), (4, 7)]]], True),
    Case("two holes that touch at a point", [[OUTER, LOW, [(4, 4), (8, 4), (8, 8)]]], True),
    Case("a hole that crosses the outer ring", [[OUTER, [(5, 5), (15, 5), (15, 8), (5, 8)]]], False),
    Case("a hole outside", [[OUTER, [(12, 2), (14, 2), (14, 4), (12, 4)]]], False),
    Case("holes that cross", [[OUTER, LOW, [(3, 3), (7, 3), (7, 7), (3, 7)]]], False),
    Case("a hole in a hole", [[OUTER, [(1, 1), (8, 1), (8, 8), (1, 8)], [(3, 3), (5, 3), (5, 5), (3, 5)]]], False),
    Case("a hole with an edge on the outer ring", [[OUTER, [(0, 3), (4, 3), (4, 7), (0, 7)]]], False, lenient=True),
    Case("a hole that parts the inside", [[OUTER, [(0, 5), (5, 0), (10, 5), (5, 10)]]], False, lenient=True),
    Case("a spike outwards", [[[(0, 0), (10, 0), (10, 5), (14, 5), (10, 5), (10, 10), (0, 10)]]], False),
    Case("a cut line inwards", [[[(0, 0), (10, 0), (10, 5), (6, 5), (10, 5), (10, 10), (0, 10)]]], False),
    Case("a ring that crosses itself", [[[(0, 0), (10, 10), (10, 0), (0, 10)]]], False),
    Case("a ring that touches itself", [[[(0, 0), (5, 5), (10, 0), (10, 10), (5, 5), (0, 10)]]], False),
    Case("a line and no area", [[[(0, 0), (5, 0), (10, 0)]]], False),
)
PAIRS = (
    Case("apart", [[OUTER], [[(12, 0), (14, 0), (14, 4), (12, 4)]]], True),
    Case("touching at a point", [[OUTER], [[(10, 10), (14, 10), (14, 14), (10, 14)]]], True),
    Case("an island in a hole", [[OUTER, LOW], [[(2, 2), (3, 2), (3, 3), (2, 3)]]], True),
    Case("overlapping", [[OUTER], [[(5, 5), (15, 5), (15, 15), (5, 15)]]], False),
    Case("one inside the other", [[OUTER], [LOW]], False),
)


def shape(rings: list[Ring]) -> shapely.Polygon:
    return shapely.Polygon(rings[0], rings[1:])


def feature(name: str, rings: list[Ring]) -> dict[str, object]:
    closed = [[*ring, ring[0]] for ring in rings]
    places = [[[LON + UNIT * x / EAST, LAT + UNIT * y / NORTH] for x, y in ring] for ring in closed]
    return {"type": "Feature", "properties": {"name": name}, "geometry": {"type": "Polygon", "coordinates": places}}


def found(folder: Path, case: Case) -> set[str]:
    """The rules that a layer with these polygons breaks, and the set made of it; each polygon is a field."""
    features = [feature(f"Schlag {number}", rings) for number, rings in enumerate(case.polygons)]
    source = folder / "fields.geojson"
    source.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    api.convert(source, folder / "TASKDATA", to="isoxml")
    audited = api.check(folder / "TASKDATA", max_per_rule=0).findings
    return {item.rule.id for item in (*api.read(source).findings, *audited)}


@pytest.mark.parametrize("case", [*CASES, *PAIRS], ids=lambda case: case.name)
def test_geos_judges_as_the_standard_does(case: Case) -> None:
    shapes = [shape(rings) for rings in case.polygons]
    whole = shapes[0] if len(shapes) == 1 else shapely.MultiPolygon(shapes)
    assert bool(shapely.is_valid(whole)) is case.valid


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_rules_agree_but_for_what_task_data_allows(tmp_path: Path, case: Case) -> None:
    broken = bool(found(tmp_path, case) & VERDICTS)
    assert broken is not (case.valid or case.lenient)


@pytest.mark.parametrize("case", PAIRS, ids=lambda case: case.name)
def test_fields_that_are_no_multipolygon_overlap(tmp_path: Path, case: Case) -> None:
    assert ("field.overlapping" in found(tmp_path, case)) is not case.valid


def test_rings_judged_in_bulk_have_the_verdict_of_geos() -> None:
    draw = np.random.default_rng(7)
    drawn = [
        np.column_stack([7.0 + draw.integers(0, 5, n), 54.0 + draw.integers(0, 5, n)]) / 1.0
        for n in draw.integers(3, 8, 300)
    ]
    figures = [
        np.array([(LON + x / 1000, LAT + y / 1000) for x, y in ring]) for case in CASES for ring in case.polygons[0]
    ]
    rings = [*drawn, *figures]
    area = Area(AreaKind.BOUNDARY, (rings[0],))
    courses = Courses(tuple(Course(area, "PFD1", ring, is_ring=True) for ring in rings))
    verdicts = [bool(shapely.is_valid(shapely.Polygon(np.vstack([ring, ring[:1]])))) for ring in rings]
    assert courses.is_valid.tolist() == verdicts
    assert 20 < sum(verdicts) < len(verdicts) - 20

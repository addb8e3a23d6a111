"""One change at a time: ``compare`` tells it, tells it once, and the other way round the other way.

Distances are set by geodesics of an independent implementation (geographiclib, Karney 2013).
"""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from statistics import fmean
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic
from lxml import etree

from taskdata import api
from taskdata.reports.compare_text import compare_text
from taskdata.results.comparison import Comparison, Difference
from tests import samples

Root = Any
Edit = Callable[[Root], None]
OUTER = '//PFD[@A="PFD1"]/PLN[@A="1"]/LSG[@A="1"]'


@pytest.fixture
def office(tmp_path: Path) -> Path:
    """The set of the office with its fields in the main file."""
    folder = samples.copy(samples.OFFICE, tmp_path / "before")
    tree = etree.parse(folder / "TASKDATA.XML")
    reference = one(tree, '//XFR[@A="PFD00001"]')
    fields = etree.parse(folder / "PFD00001.XML").getroot()
    for field in reversed(list(fields)):
        reference.addnext(field)
    reference.getparent().remove(reference)
    (folder / "PFD00001.XML").unlink()
    tree.write(folder / "TASKDATA.XML", xml_declaration=True, encoding="UTF-8")
    return folder


def one(root: Root, path: str) -> Root:
    return root.xpath(path)[0]


def edited(before: Path, tmp_path: Path, edit: Edit) -> Path:
    after = samples.copy(before, tmp_path / "after")
    tree = etree.parse(after / "TASKDATA.XML")
    edit(tree.getroot())
    tree.write(after / "TASKDATA.XML", xml_declaration=True, encoding="UTF-8")
    return after


def compared(before: Path, tmp_path: Path, edit: Edit) -> Comparison:
    """Compare both ways; the way back has to be the mirror of the way there."""
    after = edited(before, tmp_path, edit)
    there, back = api.compare(before, after), api.compare(after, before)
    mirrored = {"added": "removed", "removed": "added", "changed": "changed", "moved": "moved"}
    assert sorted(mirrored[item.kind] for item in there.differences) == sorted(item.kind for item in back.differences)
    assert {(item.before, item.after) for item in there.differences} == {
        (item.after, item.before) for item in back.differences
    }
    return there


def only(result: Comparison) -> Difference:
    (item,) = result.differences
    return item


def shift(point: Root, azimuth: float, metres: float) -> None:
    there = Geodesic.WGS84.Direct(float(point.get("C")), float(point.get("D")), azimuth, metres)
    point.set("C", f"{there['lat2']:.10f}")
    point.set("D", f"{there['lon2']:.10f}")


def test_how_a_ring_is_written_is_no_difference(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        ring = one(root, OUTER)
        ring[:] = list(reversed(ring))
        other = one(root, '//PFD[@A="PFD2"]/PLN[@A="1"]/LSG[@A="1"]')
        points = list(other)[:-1]
        other[:] = [*points[3:], *points[:3], deepcopy(points[3])]
        one(root, "//GRD").set("C", one(root, "//GRD").get("C") + "000")  # a number with more zeros
        root[:] = list(reversed(root))

    assert compared(office, tmp_path, edit).equal


def test_a_corner_moved_by_a_centimetre(office: Path, tmp_path: Path) -> None:
    item = only(compared(office, tmp_path, lambda root: shift(one(root, f"{OUTER}/PNT[3]"), 45.0, 0.01)))
    assert (item.kind, item.what) == ("moved", "outer ring of Polygon PLN1 of PFD1, area in m²")
    assert item.distance_m == pytest.approx(0.01, abs=1e-4)
    assert item.before != item.after


def test_what_is_said_of_a_point_of_a_ring(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        one(root, f"{OUTER}/PNT[3]").set("A", "9")

    item = only(compared(office, tmp_path, edit))
    assert item.what == "PointType of 1 point of outer ring of Polygon PLN1 of PFD1"
    assert (item.before, item.after) == ("2", "9")


def test_a_hole_that_comes_and_one_that_goes(office: Path, tmp_path: Path) -> None:
    def come(root: Root) -> None:
        polygon = one(root, '//PFD[@A="PFD1"]/PLN[@A="1"]')
        ring = deepcopy(polygon[0])
        ring.set("A", "2")
        corners = [(54.3003, 7.003), (54.3003, 7.0035), (54.3006, 7.0035), (54.3003, 7.003)]
        ring[:] = [etree.Element("PNT", A="2", C=str(lat), D=str(lon)) for lat, lon in corners]
        polygon.append(ring)

    item = only(compared(office, tmp_path, come))
    area = Geodesic.WGS84.Polygon()
    for lat, lon in [(54.3003, 7.003), (54.3003, 7.0035), (54.3006, 7.0035)]:
        area.AddPoint(lat, lon)
    assert (item.kind, item.what) == ("added", "hole of Polygon PLN1 of PFD1, area in m²")
    assert item.after == pytest.approx(abs(area.Compute()[2]), abs=0.1)


def test_a_hole_elsewhere_is_another_hole(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        for point in one(root, '//PFD[@A="PFD2"]/PLN[@A="1"]/LSG[@A="2"]'):
            shift(point, 0.0, 80.0)

    assert sorted(item.kind for item in compared(office, tmp_path, edit).differences) == ["added", "removed"]


def test_a_field_that_is_divided(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        part = deepcopy(one(root, '//PFD[@A="PFD4"]'))
        middle = fmean(float(point.get("D")) for point in one(part, "PLN/LSG"))
        part.set("A", "PFD77")
        part.set("C", "Der Osten")
        for point in one(part, "PLN/LSG"):
            point.set("D", str(max(float(point.get("D")), middle)))
        for point in one(root, '//PFD[@A="PFD4"]/PLN/LSG'):
            point.set("D", str(min(float(point.get("D")), middle)))
        for inner in part.xpath(".//*[@E or @F or @G]"):
            for name in ("E", "F", "G"):
                inner.attrib.pop(name, None)
        root.append(part)

    result = compared(office, tmp_path, edit)
    assert [(item.kind, item.what) for item in result.differences if item.kind != "changed"] == [
        ("added", "Partfield PFD77"),
        ("moved", "outer ring of Polygon PLN8 of PFD4, area in m²"),
    ]


def test_a_line_moved_across_its_direction_along_it_and_turned(office: Path, tmp_path: Path) -> None:
    heading = Geodesic.WGS84.Inverse(54.300323419, 7.000307206, 54.300418648, 7.006144137)["azi1"]
    for azimuth, along, right in (
        (heading + 90.0, "0.000 m", "0.500 m"),
        (heading, "0.500 m", "0.000 m"),
    ):

        def edit(root: Root, azimuth: float = azimuth) -> None:
            for point in one(root, '//GPN[@A="GPN1"]/LSG'):
                shift(point, azimuth, 0.5)

        item = only(compared(office, tmp_path / str(azimuth), edit))
        assert item.what.startswith("GuidancePattern GPN1 of PFD1: ")
        assert f"; {along} along, {right} to the right; turned by 0.0000°" in item.what
        assert item.distance_m == pytest.approx(0.5, abs=1e-3)

    def turn(root: Root) -> None:
        first, last = one(root, '//GPN[@A="GPN1"]/LSG')
        from_first = Geodesic.WGS84.Inverse(*(float(item.get(key)) for item in (first, last) for key in "CD"))
        last.set("C", first.get("C"))
        last.set("D", first.get("D"))
        shift(last, from_first["azi1"] + 0.1, from_first["s12"])

    item = only(compared(office, tmp_path / "turned", turn))
    assert "turned by 0.1000°" in item.what
    assert item.distance_m == pytest.approx(380.1 * 0.1 * 3.141592653589793 / 180.0, abs=1e-3)


@pytest.mark.parametrize("pattern", ["GPN1", "GPN3"])
def test_a_line_that_runs_the_other_way_is_not_the_same(office: Path, tmp_path: Path, pattern: str) -> None:
    def edit(root: Root) -> None:
        line = one(root, f'//GPN[@A="{pattern}"]/LSG')
        types = [point.get("A") for point in line]
        line[:] = list(reversed(line))
        for point, kind in zip(line, types, strict=True):
            point.set("A", kind)

    item = only(compared(office, tmp_path, edit))
    assert item.what.startswith(f"direction of GuidancePattern {pattern}")
    assert abs(float(str(item.after)) - float(str(item.before))) == pytest.approx(180.0, abs=0.02)


def test_a_grid_that_moved_is_told_in_metres_and_the_tolerance_counts(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        grid = one(root, "//GRD")
        north = Geodesic.WGS84.Direct(float(grid.get("A")), float(grid.get("B")), 0.0, 0.8)["lat2"]
        grid.set("A", f"{north:.10f}")

    after = edited(office, tmp_path, edit)
    item = only(api.compare(office, after))
    assert item.what.endswith("0.000 m east, 0.800 m north")
    assert item.distance_m == pytest.approx(0.8, abs=1e-4)
    assert api.compare(office, after, tolerance_m=0.81).equal
    assert not api.compare(office, after, tolerance_m=0.79).equal


def test_a_datum_shift_of_everything_is_told_in_one_sentence(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        for point in root.iter("PNT"):
            if point.get("C"):
                shift(point, 45.0, 0.6)

    result = compared(office, tmp_path, edit)
    shared = result.common_shift
    assert shared is not None
    assert shared.east_m == pytest.approx(0.6 / 2**0.5, abs=1e-3)
    assert shared.north_m == pytest.approx(0.6 / 2**0.5, abs=1e-3)
    assert shared.share > 0.9
    assert {item.aspect for item in result.differences} == {"shifted"}
    text = "\n".join(line.text for line in compare_text(result))
    assert "datum" in text
    assert text.count("\n") < 20


def test_two_things_that_moved_otherwise_stand_beside_those_that_moved_alike(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        for point in root.iter("PNT"):
            if point.get("C"):
                shift(point, 45.0, 1.4 if point.get("G") == "PNT1" else 0.6)

    own = [item for item in compared(office, tmp_path, edit).differences if item.aspect == "own"]
    assert [item.thing for item in own] == ["Point PNT1 of PFD1"]


def test_a_reference_to_another_thing_of_the_same_number(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:  # the groups change numbers, and the products do not follow
        one(root, '//PGP[@A="PGP1"]').set("A", "PGP9")
        one(root, '//PGP[@A="PGP2"]').set("A", "PGP1")

    told = [item.what for item in compared(office, tmp_path, edit).differences]
    assert "ProductGroupIdRef of Product PDT1, which is something else there or missing" in told


def test_the_only_thing_new_of_a_renumbered_set_are_the_numbers(tmp_path: Path) -> None:
    after = samples.copy(samples.OLDER, tmp_path)
    for path in after.glob("*.XML"):
        text = path.read_text(encoding="utf-8")
        for prefix in ("CTR", "FRM", "PFD", "TSK", "DVC", "DET", "PDT", "WKR", "VPN", "CTP", "CVT", "PGP"):
            text = text.replace(f'"{prefix}', f'"{prefix}9')
        path.write_text(text, encoding="utf-8")
    result = api.compare(samples.OLDER, after)
    assert {item.aspect for item in result.differences} == {"renumbered"}
    assert len([line for line in compare_text(result) if line.text.startswith("  ")]) < 10


def test_a_rate_is_named_with_its_zone(office: Path, tmp_path: Path) -> None:
    item = only(compared(office, tmp_path, lambda root: one(root, "//TZN/PDV").set("B", "123")))
    assert item.what == "ProcessDataValue of ProcessDataVariable 0001 of TreatmentZone 1 of TSK1"


def test_a_flag_without_a_number_is_known_by_its_name(office: Path, tmp_path: Path) -> None:
    def without_numbers(root: Root) -> None:
        for point in root.xpath("//PFD/PNT"):
            point.attrib.pop("G", None)

    def edit(root: Root) -> None:
        field = one(root, '//PFD[@A="PFD1"]')
        flags = field.xpath("PNT")
        for flag in flags:
            field.remove(flag)
        shift(flags[-1], 0.0, 3.0)
        field.extend(reversed(flags))

    (office / "LINKLIST.XML").unlink()
    plain = edited(office, tmp_path / "plain", without_numbers)
    item = only(compared(plain, tmp_path, edit))
    assert item.thing.startswith('Point of PFD1 "')
    assert item.distance_m == pytest.approx(3.0, abs=1e-3)


def test_points_that_lie_nowhere_are_told_and_stop_nothing(office: Path, tmp_path: Path) -> None:
    def edit(root: Root) -> None:
        for point in one(root, '//GPN[@A="GPN1"]/LSG'):
            point.set("D", "700.5")

    assert [(item.kind, item.before, item.after) for item in compared(office, tmp_path, edit).differences] == [
        ("changed", 2, 0)
    ]

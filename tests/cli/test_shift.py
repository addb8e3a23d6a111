"""``taskdata shift``: what moves, what stays to the letter, estimates, guidance shifts, logs."""

from __future__ import annotations

import json
import re
import shutil
import struct
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from tests.documents import READING
from tests.sample_reading import document, elements, get, get_id, parse, read_log
from tests.samples import MACHINE, OFFICE, OLDER


def points(folder: Path, *path: str) -> list[dict[str, str]]:
    """The attributes, as texts, of every point below elements of tags that lie directly in each other."""
    first, *rest = path
    owners = [owner for node in document(folder) for owner in node.iter(first)]
    for tag in rest:
        owners = [child for owner in owners for child in owner.findall(tag)]
    found = (point for owner in owners for point in owner.iter("PNT"))
    return [dict(point.attrib) for point in found if get(point, "Filename") is None]


def away(old: dict[str, str], new: dict[str, str], east: float, north: float) -> float:
    """How far a point lies from where geographiclib says that it has to be, metres."""
    lat, lon, lat_after, lon_after = (float(point[letter]) for point in (old, new) for letter in "CD")
    there = Geodesic.WGS84.Direct(lat, lon, np.degrees(np.arctan2(east, north)), np.hypot(east, north))
    return float(Geodesic.WGS84.Inverse(lat_after, lon_after, there["lat2"], there["lon2"])["s12"])


def test_lines_move_by_the_metres_given_and_nothing_else_changes_a_letter(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    """geographiclib says where each point has to be; east and north turn by less than 0.01 degrees over the field."""
    assert run("shift", samples / "office", tmp_path / "out", "--east", "1.5", "--north", "-2").code == 0
    after = tmp_path / "out" / "TASKDATA"
    pairs = list(zip(points(OFFICE, "GPN", "LSG"), points(after, "GPN", "LSG"), strict=True))
    assert pairs
    for old, new in pairs:
        assert away(old, new, 1.5, -2.0) < 0.001
        assert {**old, "C": "", "D": ""} == {**new, "C": "", "D": ""}
    for path in (("PLN",), ("TZN",), ("PFD", "LSG"), ("PFD", "PNT")):
        assert points(OFFICE, *path) == points(after, *path)
    assert [node.attrib for node in document(OFFICE) if node.tag == "TSK"] == [
        node.attrib for node in document(after) if node.tag == "TSK"
    ]
    for file in OFFICE.glob("*.BIN"):
        assert (after / file.name).read_bytes() == file.read_bytes()


def test_everything_moves_boundaries_zones_and_grids_but_no_logs(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("shift", samples / "machine", tmp_path / "out", "--east", "2", "--everything", "--json")
    found = json.loads(result.out)
    assert set(found) == {
        *("source", "target", "east_m", "north_m", "moved", "estimate", "losses", "new_errors"),
        *READING,
    }
    assert (found["east_m"], found["north_m"], found["estimate"]) == (2.0, 0.0, None)
    assert found["moved"]["grids"] == 2
    stay = [loss for loss in found["losses"] if "stays where it was recorded" in loss["what"]]
    assert len(stay) == 3
    after = tmp_path / "out" / "TASKDATA"
    for name in ("TLG00001", "TLG00002", "TLG00003"):
        assert (after / f"{name}.BIN").read_bytes() == (MACHINE / f"{name}.BIN").read_bytes()
    strings = [[item for node in document(folder) for item in node.iter("LSG")] for folder in (MACHINE, after)]
    stored = [item for item in strings[0] if get(item.findall("PNT")[0], "Filename") is not None]
    assert len(stored) == 2
    for before, moved in zip(*strings, strict=True):
        for old, new in zip(before.findall("PNT"), moved.findall("PNT"), strict=True) if before not in stored else ():
            assert away(old.attrib, new.attrib, 2.0, 0.0) < 0.001
            assert {**old.attrib, "C": "", "D": ""} == {**new.attrib, "C": "", "D": ""}
    grids = [[node for node in document(folder) for node in node.iter("GRD")] for folder in (MACHINE, after)]
    for old, new in zip(*grids, strict=True):
        lat, lon = (float(str(get(old, f"GridMinimum{axis}Position"))) for axis in ("North", "East"))
        there = Geodesic.WGS84.Direct(lat, lon, 90.0, 2.0)
        assert float(str(get(new, "GridMinimumEastPosition"))) == pytest.approx(there["lon2"], abs=5e-9)
        assert {name: text for name, text in new.attrib.items() if name not in "AB"} == {
            name: text for name, text in old.attrib.items() if name not in "AB"
        }


def test_logs_move_where_that_is_asked_for(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ("--north", "-5", "--everything", "--with-logs", "--json")
    found = json.loads(run("shift", samples / "machine", tmp_path / "out", *words).out)
    assert found["moved"]["logs"] == 3
    before, _ = read_log(MACHINE, "TLG00001")
    after, _ = read_log(tmp_path / "out" / "TASKDATA", "TLG00001")
    assert len(before) == len(after)
    lost = 0
    for (old, values), (new, same) in zip(before[::50], after[::50], strict=True):
        assert values == same
        moved = {"PositionNorth", "PositionEast"}
        assert {k: v for k, v in old.items() if k not in moved} == {k: v for k, v in new.items() if k not in moved}
        if old["PositionNorth"] == new["PositionNorth"]:
            lost += 1
            assert struct.pack("<i", old["PositionNorth"]) in {b"\xff\xff\xff\x7f", b"\xff\xff\xff\xff"}
            continue
        assert (new["PositionNorth"] - old["PositionNorth"]) * 1e-7 == pytest.approx(-5.0 / 111_330.0, abs=2e-7)
    assert lost < len(before) / 100
    steps = [loss for loss in found["losses"] if "positions of log" in loss["what"]]
    assert [loss["element"] for loss in steps] == ["TSK1", "TSK3", "TSK-1"]
    for loss in steps:
        assert loss["kind"] == "approximated"
        assert "steps of 1e-07 degree, 11 mm" in loss["why"]
        east, north, off = map(
            float, re.findall(r"(-?[0-9.]+) m east, (-?[0-9.]+) m north .* within (\d+) mm", loss["what"])[0]
        )
        assert (east, north) == pytest.approx((0.0, -5.0), abs=0.002)
        assert 0 < off <= 7


def test_one_field_moves_alone(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ("--north", "3", "--field", "PFD3", "--json")
    found = json.loads(run("shift", samples / "office", tmp_path / "out", *words).out)
    assert found["moved"]["fields"] == 1
    assert found["moved"]["grids"] == 1
    for field in ("PFD1", "PFD2", "PFD5"):
        texts = [
            ElementTree.tostring(node).strip()
            for folder in (OFFICE, tmp_path / "out" / "TASKDATA")
            for node in document(folder)
            if get_id(node) == field
        ]
        assert texts[0].split() == texts[1].split()


def test_a_shift_is_put_down_in_open_tasks_and_lines_stay(run: Callable, samples: Path, tmp_path: Path) -> None:
    """ISO 11783-10 D.28 and D.31: a GAN holds one ASP and a GST for each shift, in whole millimetres."""
    words = ("--east", "0.1234", "--north", "-0.05", "--as-shift", "--json")
    found = json.loads(run("shift", samples / "office", tmp_path / "out", *words).out)
    after = tmp_path / "out" / "TASKDATA"
    assert points(after, "GPN") == points(OFFICE, "GPN")
    new = [
        (get(gan, "GuidanceGroupIdRef"), gst)
        for gan, gst in elements(after)
        if gst.tag == "GST" and (get(gst, "GuidanceEastShift"), get(gst, "GuidanceNorthShift")) == ("123", "-50")
    ]
    assert len(new) == found["moved"]["shifts"] == 3
    assert all(get(gst, "GuidanceGroupIdRef") == group for group, gst in new)
    gans = [child for _, child in elements(after) if child.tag == "GAN"]
    assert all(len(gan.findall("ASP")) == 1 for gan in gans)
    assert any("rounded to 1 mm" in loss["what"] for loss in found["losses"])
    assert any("comes after earlier ones" in loss["what"] for loss in found["losses"])
    report = json.loads(run("check", after, "--format", "json").out)
    assert report["summary"]["error"] == 0
    assert [item for item in report["findings"] if item["rule"].startswith(("stamp", "reference"))] == []


def test_a_shift_of_an_older_set_moves_its_lines_and_is_no_guidance_shift(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    refused = run("shift", samples / "older", tmp_path / "out", "--east", "1", "--as-shift")
    assert (refused.code, len(refused.err.splitlines()), list(tmp_path.iterdir())) == (2, 1, [])
    assert run("shift", samples / "older", tmp_path / "out", "--east", "1").code == 0
    compared = json.loads(run("compare", OLDER, tmp_path / "out", "--json").out)
    assert {item["kind"] for item in compared["differences"]} == {"moved"}


def test_an_estimated_shift_brings_a_set_back(run: Callable, samples: Path, tmp_path: Path) -> None:
    run("shift", samples / "office", tmp_path / "moved", "--east", "0.9", "--north", "-0.7", "--everything")
    words = ("--estimate-from", samples / "office", "--everything")
    found = json.loads(run("shift", tmp_path / "moved", tmp_path / "back", *words, "--json").out)
    assert found["east_m"] == pytest.approx(-0.9, abs=2e-3)
    assert found["estimate"]["probable_datum_difference"] is True
    assert found["estimate"]["undetermined_deg"] == []
    text = run("shift", tmp_path / "moved", tmp_path / "again", *words, "--dry-run")
    assert "probably a datum difference" in " ".join(text.out.split())
    assert "East: -0.900 m ±" in text.out
    compared = json.loads(run("compare", samples / "office", tmp_path / "back", "--tolerance", "0.01", "--json").out)
    assert not [item for item in compared["differences"] if item["kind"] == "moved"]


def test_a_dry_run_tells_the_same_and_writes_nothing(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ("shift", samples / "office", tmp_path / "out", "--east", "0.5", "--everything", "--json")
    dry = run(*words, "--dry-run")
    assert list(tmp_path.iterdir()) == []
    assert run(*words).out == dry.out


@pytest.mark.parametrize("suffix", ["gpkg", "zip"])
def test_the_format_follows_the_name(run: Callable, samples: Path, tmp_path: Path, suffix: str) -> None:
    target = tmp_path / f"out.{suffix}"
    assert run("shift", samples / "office", target, "--east", "0.5").code == 0
    back = run("shift", target, tmp_path / f"back.{suffix}", "--east", "-0.5")
    assert back.code == 0
    compared = run("compare", samples / "office", tmp_path / f"back.{suffix}", "--tolerance", "0.001", "--json")
    assert not [item for item in json.loads(compared.out)["differences"] if item["kind"] == "moved"]


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--east", "nan"),
        ("--east", "1e9"),
        ("--east", "1", "--estimate-from", "x"),
        ("--east", "1", "--everything", "--lines"),
        ("--east", "1", "--everything", "--field", "PFD1"),
        ("--east", "1", "--field", "PFD99"),
        ("--east", "1", "--with-logs"),
        ("--east", "1", "--everything", "--as-shift"),
        ("--east", "1", "--lines", "--field", "PFD2"),
    ],
)
def test_wrong_usage_is_one_line(run: Callable, samples: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    result = run("shift", samples / "office", tmp_path / "out", *words)
    assert (result.code, result.out, len(result.err.splitlines())) == (2, "", 1)
    assert list(tmp_path.iterdir()) == []


def test_sources_and_targets_that_cannot_be(run: Callable, samples: Path, tmp_path: Path) -> None:
    assert run("shift", tmp_path / "nothing", tmp_path / "out", "--east", "1").code == 3
    assert run("shift", samples / "office", samples / "office", "--east", "1").code == 4
    (tmp_path / "farm.gpkg").write_bytes(b"mine")
    assert run("shift", samples / "office", tmp_path / "farm.gpkg", "--east", "1").code == 4
    assert (tmp_path / "farm.gpkg").read_bytes() == b"mine"


def test_layers_that_name_no_system_of_coordinates_are_read_with_one(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    source = samples / "display-shapefiles"
    words = ("--estimate-from", source, "--crs", "EPSG:32632", "--dry-run", "--json")
    result = run("shift", source, tmp_path / "out", *words)
    assert result.code == 0
    found = json.loads(result.out)
    assert (found["east_m"], found["north_m"]) == pytest.approx((0.0, 0.0), abs=1e-6)
    assert found["moved"] == {"lines": 4}


def test_an_estimate_that_most_things_contradict_moves_nothing(run: Callable, samples: Path, tmp_path: Path) -> None:
    """The logs of the two sets are of different work: their passes have a few places in common by chance."""
    result = run("shift", samples / "machine", tmp_path / "out", "--estimate-from", samples / "older", "--quiet")
    assert result.code == 2
    assert "agrees on a shift, which is too little to move anything" in result.err
    assert not (tmp_path / "out").exists()


def lines_file(path: Path, *ends: tuple[float, float, float, float]) -> Path:
    """A layer of A-B lines, each from metres east and north to metres east and north, by geographiclib."""
    features = []
    for number, (x1, y1, x2, y2) in enumerate(ends):
        there = [
            Geodesic.WGS84.Direct(54.3, 7.0, np.degrees(np.arctan2(x, y)), np.hypot(x, y))
            for x, y in ((x1, y1), (x2, y2))
        ]
        shape = {"type": "LineString", "coordinates": [[point["lon2"], point["lat2"]] for point in there]}
        features.append({"type": "Feature", "properties": {"name": f"line {number}"}, "geometry": shape})
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("here", "there", "says"),
    [
        # One line, however long, has only its two ends to err with: nothing tells how well they are known.
        ([(0, 0, 0, 150)], [(0.4, 0, 0.4, 150)], "cannot be checked"),
        ([(0, 0, 0, 900)], [(0.3, 0, 0.5, 900)], "cannot be checked"),
        # Two lines that contradict each other by as much as they moved.
        ([(0, 0, 0, 400), (40, 0, 40, 400)], [(0.1, 0, 0.1, 400), (40.7, 0, 40.7, 400)], "is uncertain by"),
    ],
)
def test_an_estimate_that_too_little_tells_moves_nothing(
    run: Callable, tmp_path: Path, here: list, there: list, says: str
) -> None:
    one, two = lines_file(tmp_path / "a.geojson", *here), lines_file(tmp_path / "b.geojson", *there)
    words = ("shift", one, tmp_path / "out.gpkg", "--estimate-from", two, "--quiet")
    for more in ((), ("--dry-run",)):
        result = run(*words, *more)
        assert (result.code, result.out, len(result.err.splitlines())) == (2, "", 1)
        assert says in result.err
        assert re.search(r"a shift of 0\.(39|40)\d m east, 0.00\d m north", result.err)
        assert "along 0° it cannot be determined" in result.err
        assert "--east and --north" in result.err
    assert not (tmp_path / "out.gpkg").exists()


def test_parallel_lines_that_agree_move_across_themselves_alone(run: Callable, tmp_path: Path) -> None:
    ways = [(12.0 * number, 0, 12.0 * number, 400) for number in range(5)]
    noise = (0.002, -0.001, 0.0, 0.001, -0.002)
    there = [(x + 0.4 + off, 3.0, x + 0.4 + off, 403.0) for (x, *_), off in zip(ways, noise, strict=True)]
    one, two = lines_file(tmp_path / "a.geojson", *ways), lines_file(tmp_path / "b.geojson", *there)
    found = json.loads(run("shift", one, tmp_path / "out.gpkg", "--estimate-from", two, "--json").out)
    assert (found["east_m"], found["north_m"]) == (pytest.approx(0.4, abs=0.003), pytest.approx(0.0, abs=1e-3))
    assert found["estimate"]["undetermined_deg"] == [pytest.approx(0.0, abs=0.1)]


def with_stored_points(folder: Path, *fields: str) -> list[tuple[int, int]]:
    """Give fields of a set a binary file of two points, of north and east in 1e-16 degrees (ISO 11783-10, 8.6.4)."""
    raw = [(543_001_234_567_890_123, 70_012_345_678_901_234), (543_002_000_000_000_001, 70_020_000_000_000_003)]
    (folder / "PNT00099.BIN").write_bytes(b"".join(struct.pack("<qq", *point) for point in raw))
    path = folder / "TASKDATA.XML"
    root = parse(path)
    for node in root.iter("PFD"):
        if node.get("A") in fields:
            node.append(ElementTree.Element("PNT", {"A": "5", "C": "", "D": "", "J": "PNT00099", "K": "32"}))
    path.write_bytes(ElementTree.tostring(root, encoding="utf-8", xml_declaration=True))
    return raw


def test_points_in_binary_files_move_with_their_field(run: Callable, samples: Path, tmp_path: Path) -> None:
    """Read again as the octets of the standard; geographiclib says where each point has to be."""
    shutil.copytree(samples / "office", tmp_path / "in")
    raw = with_stored_points(tmp_path / "in" / "TASKDATA", "PFD1")
    words = ("shift", tmp_path / "in", tmp_path / "out", "--east", "2", "--north", "-1", "--field", "PFD1", "--json")
    document = json.loads(run(*words).out)
    assert not [loss for loss in document["losses"] if "points" in loss["what"]]
    data = (tmp_path / "out" / "TASKDATA" / "PNT00099.BIN").read_bytes()
    for (north, east), (lat, lon) in zip(raw, struct.iter_unpack("<qq", data), strict=True):
        old, new = ({"C": str(c * 1e-16), "D": str(d * 1e-16)} for c, d in ((north, east), (lat, lon)))
        assert away(old, new, 2.0, -1.0) < 0.001
    before = json.loads(run("shift", samples / "office", tmp_path / "plain", *words[3:]).out)
    assert document["moved"]["points"] == before["moved"].get("points", 0) + 2
    assert run("compare", tmp_path / "in", tmp_path / "out", "--json").code == 1


def test_points_in_a_binary_file_of_two_fields_stay_and_that_is_told(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    shutil.copytree(samples / "office", tmp_path / "in")
    folder = tmp_path / "in" / "TASKDATA"
    with_stored_points(folder, "PFD1", "PFD2")
    words = ("--east", "2", "--everything", "--json")
    document = json.loads(run("shift", tmp_path / "in", tmp_path / "out", *words).out)
    stay = [loss["element"] for loss in document["losses"] if loss["what"] == "the move of 2 points"]
    assert stay == ["PFD1", "PFD2"]
    assert (tmp_path / "out" / "TASKDATA" / "PNT00099.BIN").read_bytes() == (folder / "PNT00099.BIN").read_bytes()

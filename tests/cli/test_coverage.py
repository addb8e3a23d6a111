"""``taskdata coverage``: JSON of the contract, text, units, outputs, exit codes."""

from __future__ import annotations

import json
import math
import statistics
from collections.abc import Callable
from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic

from tests.documents import READING
from tests.sample_reading import elements, get_id, read_log
from tests.samples import MACHINE

KEYS = {
    "devices",
    *("task", "field", "logs", "records", "field_area_m2", "worked_area_m2", "double_area_m2", "missed_area_m2"),
    *("outside_area_m2", "applied_area_m2", "distance_m", "working_time_s", "capacity_ha_h", "efficiency"),
    *("pass_to_pass", "cross_track", "rates", "zones", "method", "uncertainty_m2", "double_uncertainty_m2"),
    *("worked_interval_m2", "double_interval_m2", "missed_interval_m2", "outside_interval_m2"),
    *("late_missed_area_m2", "late_outside_area_m2"),
}


def test_json_is_one_document_of_the_contract(run: Callable, samples: Path) -> None:
    result = run("coverage", samples / "machine", "--json")
    document = json.loads(result.out)
    assert result.code == 0
    assert set(document) == {"tasks", *READING}
    assert [item["task"] for item in document["tasks"]] == ["TSK1", "TSK3", "TSK-1"]
    assert all(set(item) == KEYS for item in document["tasks"])
    first = document["tasks"][0]
    assert (first["field"], first["logs"], first["records"]) == ("PFD1", ["TLG00001"], 11798)
    assert set(first["pass_to_pass"]) == {"mean_abs_m", "p95_m", "pairs", "spacing_m", "driven_m"}
    assert first["worked_area_m2"] - first["outside_area_m2"] + first["missed_area_m2"] == pytest.approx(
        first["field_area_m2"], abs=0.1
    )
    for kind in ("worked", "double", "missed", "outside"):
        low, high = first[f"{kind}_interval_m2"]
        assert low <= first[f"{kind}_area_m2"] <= high
    assert first["rates"][0]["basis"] == "memory"  # of row 0002 number and name were read, its step was not
    assert first["rates"][0]["unit"] == "L/ha"
    assert first["rates"][0]["mean"] == pytest.approx(199.0, abs=1.0)
    assert any("lacks positions while working" in text for text in document["warnings"])
    assert (document["unread"], result.err) == ([], "")


def test_units_change_what_is_shown_never_what_is_stored(run: Callable, samples: Path) -> None:
    words = ("coverage", samples / "machine", "--task", "TSK3")
    metric, us = (run(*words, "--units", units) for units in ("metric", "us"))
    assert " ha" in metric.out
    assert " kg/ha" in metric.out
    assert " ac" in us.out
    assert " lb/ac" in us.out
    documents = [run(*words, "--json", "--units", units).out for units in ("metric", "us")]
    assert documents[0] == documents[1]


def test_text_says_method_uncertainty_and_the_caution(run: Callable, samples: Path) -> None:
    result = run("coverage", samples / "machine", "--task", "TSK-1", "--cell", "0.5")
    assert (result.code, result.err) == (0, "")
    text = " ".join(result.out.split())
    assert "raster of 0.5 m cells" in text
    assert " ha, between " in text
    assert "Possibly late switching: up to" in text
    assert "look before you work it again" in text
    assert max(map(len, result.out.splitlines())) <= 80


def test_a_width_by_hand_takes_the_place_of_the_sections(run: Callable, samples: Path) -> None:
    words = ("--width", "12", "--overlap", "0.5", "--offset-back", "3", "--offset-right", "0.2", "--trailed", "2")
    result = run("coverage", samples / "machine", "--task", "TSK1", "--json", *words)
    assert result.code == 0
    (found,) = json.loads(result.out)["tasks"]
    assert found["applied_area_m2"] == pytest.approx(12.0 * found["distance_m"], rel=0.01)


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("--task", "TSK99"), 2, "no such task"),
        (("--field", "PFD99"), 2, "no such field"),
        (("--width", "0"), 2, "cannot be 0 m"),
        (("--width", "abc"), 2, "not a valid float"),
        (("--cell", "-1"), 2, "cell cannot have"),
        (("--overlap", "1", "--skip", "1"), 2, "not both"),
        (("--output", "somewhere.xyz"), 2, "format of the target"),
    ],
)
def test_wrong_usage_is_told_in_a_line(
    run: Callable, samples: Path, words: tuple[str, ...], code: int, says: str
) -> None:
    result = run("coverage", samples / "machine", *words)
    assert (result.code, result.out) == (code, "")
    assert says in result.err


def test_a_source_that_is_not_there_and_a_target_that_is(run: Callable, samples: Path, tmp_path: Path) -> None:
    assert run("coverage", tmp_path / "nothing").code == 3
    taken = tmp_path / "c.gpkg"
    taken.write_bytes(b"mine")
    result = run("coverage", samples / "machine", "--task", "TSK3", "--output", taken)
    assert (result.code, taken.read_bytes()) == (4, b"mine")
    words = ("coverage", samples / "machine", "--task", "TSK3", "--output", taken)
    assert (run(*words, "--overwrite").code, taken.read_bytes()) == (4, b"mine")
    taken.unlink()
    assert (run(*words).code, run(*words, "--overwrite").code) == (0, 0)
    assert taken.read_bytes()[:15] == b"SQLite format 3"


def test_a_set_without_logs_is_no_failure(run: Callable, samples: Path) -> None:
    result = run("coverage", samples / "office", "--json")
    document = json.loads(result.out)
    assert (result.code, document["tasks"]) == (0, [])
    assert document["warnings"][0].startswith("No task")


def test_a_broken_set_gives_what_is_left(run: Callable, samples: Path) -> None:
    result = run("coverage", samples / "broken", "--width", "3", "--json")
    document = json.loads(result.out)
    assert result.code == 1
    assert [item["task"] for item in document["tasks"]] == ["TSK1", "TSK2"]
    assert {"file": "TLG00002.BIN", "what": "log of TSK2", "why": "is not in the set"} in document["unread"]
    without = run("coverage", samples / "broken")
    assert without.code == 1
    assert "how wide" in without.out


def test_no_distance_is_told_where_the_work_is_unknown(run: Callable, samples: Path) -> None:
    shown = run("coverage", samples / "receiver" / "mowing.csv").out
    assert "It is not known what was worked" in shown
    assert "Distance" not in shown
    assert "Distance: " in run("coverage", samples / "receiver" / "mowing.csv", "--width", "6").out


def test_an_older_set_without_sections_by_hand(run: Callable, samples: Path) -> None:
    result = run("coverage", samples / "older", "--json")
    assert result.code == 0
    assert all(item["worked_area_m2"] > 0.0 for item in json.loads(result.out)["tasks"])


def test_a_track_without_a_width_is_told_what_it_needs(run: Callable, tmp_path: Path) -> None:
    line = {"type": "LineString", "coordinates": [[7.0, 54.3], [7.0, 54.301]]}
    layer = {"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {}, "geometry": line}]}
    (tmp_path / "track.geojson").write_text(json.dumps(layer), encoding="utf-8")
    bare = run("coverage", tmp_path / "track.geojson")
    assert bare.code == 0
    assert "tracks if --width is given" in " ".join(bare.out.split())
    assert "Width 6.00 m." in run("coverage", tmp_path / "track.geojson", "--width", "6").out


def test_a_folder_becomes_a_set_where_that_is_said(run: Callable, samples: Path, tmp_path: Path) -> None:
    words = ("coverage", samples / "older", "--output", tmp_path / "out", "--quiet")
    assert "Give --to" in run(*words).err
    assert run(*words, "--to", "isoxml").code == 0
    found = json.loads(run("inspect", tmp_path / "out", "--json").out)
    assert found["format"] == "isoxml"
    assert found["counts"]["PLN"] > json.loads(run("inspect", samples / "older", "--json").out)["counts"]["PLN"]


def test_a_line_is_compared_with_what_was_driven(run: Callable, samples: Path) -> None:
    """The logged positions of the spray job against its line by geographiclib; the antenna is over the middle."""
    document = json.loads(run("coverage", samples / "machine", "--line", "AB Südkante", "--json").out)
    found = {item["task"]: item["cross_track"] for item in document["tasks"]}
    assert found["TSK3"] is None
    assert found["TSK-1"] is None
    line = next(node for _, node in elements(MACHINE) if node.tag == "GPN" and get_id(node) == "GPN1")
    a, b = ([float(point.attrib[letter]) for letter in "CD"] for point in line.iter("PNT"))
    along = Geodesic.WGS84.Inverse(*a, *b)["azi1"]
    off = []
    for record, _ in read_log(MACHINE, "TLG00001")[0][::7]:
        there = Geodesic.WGS84.Inverse(*a, record["PositionNorth"] * 1e-7, record["PositionEast"] * 1e-7)
        across = there["s12"] * math.sin(math.radians(there["azi1"] - along))
        off.append(across - 24.0 * round(across / 24.0))
    assert found["TSK1"]["mean_m"] == pytest.approx(statistics.median(off), abs=0.01)
    assert found["TSK1"]["mean_abs_m"] <= found["TSK1"]["rms_m"] <= found["TSK1"]["p95_m"] + 0.01
    assert (found["TSK1"]["line"], found["TSK1"]["spacing_m"], found["TSK1"]["passes"]) == ("GPN1", 24.0, 12)
    text = " ".join(
        run("coverage", samples / "machine", "--line", "GPN1", "--task", "TSK1", "--units", "us").out.split()
    )
    feet = found["TSK1"]["mean_abs_m"] / 0.3048
    assert f"Against line GPN1 and its parallels every 78.74 ft: mean {feet:.3f} ft" in text
    unknown = run("coverage", samples / "machine", "--line", "GPN99")
    assert (unknown.code, len(unknown.err.splitlines())) == (2, 1)
    assert "no such guidance line" in unknown.err


def track_file(path: Path, *lines: list[list[float]]) -> Path:
    features = [
        {"type": "Feature", "properties": {}, "geometry": {"type": "LineString", "coordinates": line}} for line in lines
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return path


def test_tracks_without_a_boundary_go_together_where_they_lie_close_by(run: Callable, tmp_path: Path) -> None:
    """Three tracks 8 m apart and 10 m wide, and one 60 km away: 200 m x (8 + 8 + 10) m by geographiclib."""
    tracks = []
    for east in (0.0, 8.0, 16.0, 60_000.0):
        start = Geodesic.WGS84.Direct(54.3, 7.0, 90.0, east)
        end = Geodesic.WGS84.Direct(start["lat2"], start["lon2"], 0.0, 200.0)
        tracks.append([[point["lon2"], point["lat2"]] for point in (start, end)])
    source = track_file(tmp_path / "tracks.geojson", *tracks)
    words = ("coverage", source, "--width", "10")
    assert len(json.loads(run(*words, "--json").out)["tasks"]) == 4
    near, far = json.loads(run(*words, "--together", "--json").out)["tasks"]
    assert near["worked_area_m2"] == pytest.approx(200.0 * 26.0, rel=2e-5)
    assert near["double_area_m2"] == pytest.approx(200.0 * 4.0, rel=2e-4)
    assert far["worked_area_m2"] == pytest.approx(2000.0, rel=1e-5)
    text = " ".join(run(*words, "--together").out.split())
    assert text.count("has no times") == 2
    assert "The same applies to GPN2 and GPN3." in text

"""Each step by hand-written elements; what is wanted follows from the annexes of ISO 11783-10 named beside it."""

from __future__ import annotations

import struct
from zoneinfo import ZoneInfo

import pytest
from geographiclib.geodesic import Geodesic

from taskdata.adapt.clock import with_zone, without_zone, zone_of
from taskdata.adapt.receivers import to_receiver
from taskdata.adapt.versions import to_version
from taskdata.errors import UsageError
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.model.receiver import Receiver
from tests.adapt.sets import errors, made, whats, written

A = '<PNT A="6" C="54.3" D="7.0"/>'
B = '<PNT A="7" C="54.31" D="7.0"/>'
RING = "".join(f'<PNT A="2" C="{north}" D="{east}"/>' for north, east in ((54, 7), (54, 7.01), (54.01, 7.01), (54, 7)))
BASIC = Receiver({"takes.binary_points": False, "names.characters": "ascii"})
FIELD = '<PFD A="PFD1" C="Moorkamp" D="0">{}</PFD>'


def down(body: str, **files: bytes) -> tuple[Document, str]:
    result, ledger = to_version(made(4, body, **files), 3)
    return written(result), whats(ledger)


def up(body: str, version: int = 3, **files: bytes) -> tuple[Document, str]:
    result, ledger = to_version(made(version, body, **files), 4)
    return written(result), whats(ledger)


def first(document: Document, tag: str) -> Element:
    return document.by_tag[tag][0]


def pattern(code: int, points: str, **given: str) -> str:
    attributes = "".join(f' {key}="{text}"' for key, text in given.items())
    line = f'<LSG A="5" C="6000">{points}</LSG>'
    return FIELD.format(f'<GGP A="GGP1"><GPN A="GPN1" B="Spur" C="{code}"{attributes}>{line}</GPN></GGP>')


def test_an_ab_pattern_becomes_a_line_with_its_name_and_width_and_comes_back() -> None:
    document, told = down(pattern(1, A + B, F="1"))
    line = first(document, "LSG")
    assert line.attributes == {"A": "5", "B": "Spur", "C": "6000"}
    assert line.coordinates().tolist() == [[7.0, 54.3], [7.0, 54.31]]
    assert "guidance pattern extension 1 (both ends)" in told
    back, _ = to_version(document, 4)
    again = first(written(back), "GPN")
    assert (again["GuidancePatternDesignator"], again["GuidancePatternType"]) == ("Spur", "1")
    assert not errors(written(back))


def test_a_heading_becomes_a_point_1000_m_away_on_the_geodesic() -> None:
    """Against geographiclib's own solution of the direct problem."""
    document, told = down(pattern(2, A, G="30.5"))
    (lon, lat) = first(document, "LSG").coordinates()[1]
    wanted = Geodesic.WGS84.Direct(54.3, 7.0, 30.5, 1000.0)
    assert (lat, lon) == pytest.approx((wanted["lat2"], wanted["lon2"]), abs=1e-9)
    assert "heading 30.5" in told


def test_a_pivot_becomes_a_circle_within_a_centimetre() -> None:
    document, _ = down(pattern(4, '<PNT A="8" C="54.3" D="7.0"/>', H="120000"))
    points = first(document, "LSG").coordinates()
    assert (points[0] == points[-1]).all()
    middles = (points[:-1] + points[1:]) / 2
    for lon, lat in (*points, *middles):
        assert 119.989 < Geodesic.WGS84.Inverse(54.3, 7.0, lat, lon)["s12"] < 120.001


def test_a_pattern_without_a_course_is_left_out_and_named() -> None:
    document, told = down(pattern(2, A))
    assert "LSG" not in document.by_tag
    assert "GPN1: guidance pattern 'Spur'" in told


def test_binary_points_are_written_with_all_their_digits() -> None:
    """8.6.4: signed 64-bit integers in 1e-16 degree, north before east; -1 = not available."""
    north, east = 543000000000000001, 70000000000000003
    content = struct.pack("<qqqq", north, east, -1, east)
    body = FIELD.format('<PNT A="2" C="" D="" J="PNT00001" K="32"/>')
    document, told = down(body, PNT00001=content)
    assert first(document, "PFD").point_count() == 1
    (run,) = (child for child in first(document, "PFD").children if hasattr(child, "rows"))
    assert list(run.rows()) == [{"A": "2", "C": "54.3000000000000001", "D": "7.0000000000000003"}]
    assert not document.others
    assert "1 point of PNT00001 without a position" in told


def test_several_boundaries_become_one_and_several_again() -> None:
    """D.37, D.39: one boundary with several outer rings before version 4, one outer ring each from then on."""
    polygon = f'<PLN A="1" C="{{}}"><LSG A="1">{RING}</LSG></PLN>'
    document, told = down(FIELD.format(polygon.format(10) + polygon.format(5)))
    (joined,) = document.by_tag["PLN"]
    assert (joined["PolygonArea"], len(list(joined.elements("LSG")))) == ("15", 2)
    assert "2 boundaries become one polygon" in told
    back, _ = to_version(document, 4)
    assert [len(list(part.elements("LSG"))) for part in back.by_tag["PLN"]] == [1, 1]


def test_open_rings_are_closed_and_holes_go_to_their_ring() -> None:
    def square(kind: int, south: float, size: float) -> str:
        corners = ((south, 7), (south, 7 + size), (south + size, 7 + size), (south + size, 7))
        shifted = ((north, east + (0.002 if kind == 2 else 0)) for north, east in corners)
        return f'<LSG A="{kind}">' + "".join(f'<PNT A="2" C="{n:.4f}" D="{e:.4f}"/>' for n, e in shifted) + "</LSG>"

    body = square(1, 54.0, 0.01) + square(1, 54.1, 0.01) + square(2, 54.102, 0.001)
    document, told = up(FIELD.format(f'<PLN A="1">{body}</PLN>'))
    parts = [[ring["LineStringType"] for ring in part.elements("LSG")] for part in document.by_tag["PLN"]]
    assert parts == [["1"], ["1", "2"]]
    assert all(ring.point_count() == 5 for ring in document.by_tag["LSG"])
    assert "closed by repeating its first point (3 times)" in told
    assert not errors(document)


ZONE = f'<TZN A="{{}}"><PLN A="2"><LSG A="1">{RING}</LSG></PLN><PDV A="0001" B="5"/><PDV A="0006" B="7"/></TZN>'


def zones(document: Document) -> dict[str, tuple[int, list[str]]]:
    """Code of each zone to its number of polygons and its values."""
    return {
        zone["TreatmentZoneCode"]: (
            len(list(zone.elements("PLN"))),
            [item["ProcessDataValue"] for item in zone.elements("PDV")],
        )
        for zone in document.by_tag["TZN"]
    }


def test_a_zone_with_two_setpoints_becomes_two_zones() -> None:
    """D.50: from version 4 a zone with polygons has one setpoint."""
    document, _ = up(f'<TSK A="TSK1" G="1">{ZONE.format(0)}</TSK>')
    assert zones(document) == {"0": (1, ["5"]), "1": (1, ["7"])}


def test_a_zone_that_the_task_names_stays_without_polygons() -> None:
    document, _ = up(f'<TSK A="TSK1" G="1" H="0">{ZONE.format(0)}</TSK>')
    assert zones(document) == {"0": (0, ["5", "7"]), "1": (1, ["5"]), "2": (1, ["7"])}


def test_a_zone_that_a_cell_names_stays_without_polygons() -> None:
    grid = '<GRD A="54" B="7" C="0.001" D="0.001" E="1" F="1" G="GRD00001" I="1"/>'
    document, _ = up(f'<TSK A="TSK1" G="1">{ZONE.format(9)}{grid}</TSK>', GRD00001=b"\x09")
    assert zones(document) == {"9": (0, ["5", "7"]), "0": (1, ["5"]), "1": (1, ["7"])}


def test_where_the_codes_run_out_a_zone_stays_whole_and_is_named() -> None:
    others = "".join(f'<TZN A="{code}"><PDV A="0001" B="1"/></TZN>' for code in range(1, 255))
    document, told = up(f'<TSK A="TSK1" G="1">{ZONE.format(0)}{others}</TSK>')
    assert zones(document)["0"] == (1, ["5", "7"])
    assert "zone 0 keeps polygons with 2 setpoints" in told


def test_templates_and_cancelled_tasks_go_with_their_files() -> None:
    """D.46: states 5 and 6 came with version 4."""
    body = '<TSK A="TSK1" G="6"><GRD A="54" B="7" C="1" D="1" E="1" F="1" G="GRD00001" I="1"/></TSK>'
    document, told = down(body + '<TSK A="TSK2" G="5"/><TSK A="TSK3" G="1"/>', GRD00001=b"\x01")
    assert [task.id for task in document.by_tag["TSK"]] == ["TSK3"]
    assert not document.others
    assert "TSK1: file GRD00001.BIN" in told


def test_times_and_remainders_have_their_counterpart_or_none() -> None:
    body = '<PDT A="PDT1" B="x"/><TSK A="TSK1" G="4"><TIM A="2026-04-01T06:00:00" D="{}"/>{}</TSK>'
    document, _ = down(body.format(8, '<PAN A="PDT1" B="0048" C="5" D="3"/>'))
    assert first(document, "TIM")["Type"] == "5"
    assert "PAN" not in document.by_tag
    document, _ = up(body.format(3, ""))
    assert first(document, "TIM")["Type"] == "2"


def test_a_structure_label_keeps_its_last_seven_octets() -> None:
    """D.19: the label itself stands at the end, an extension in front."""
    label = "0A" * 32 + "01020304050607"
    part = '<DET A="DET1" B="1" C="1" E="0" F="0"/><DPD A="2" B="0001" C="5" D="1"/>'
    document, _ = down(f'<DVC A="DVC1" D="A000860020800001" F="{label}" G="FF000000006564">{part}</DVC>')
    assert first(document, "DVC")["DeviceStructureLabel"] == "01020304050607"
    assert first(document, "DPD")["DeviceProcessDataProperty"] == "1"


def test_obstacles_and_points_become_what_version_3_has() -> None:
    line = '<LSG A="9" F="LSG{}"{}><PNT A="2" C="54" D="7"/><PNT A="2" C="54" D="7.1"/></LSG>'
    body = line.format(1, ' B="Graben"') + line.format(2, "") + '<PNT A="5" C="54" D="7" G="PNT1" H="0.02"/>'
    document, told = down(FIELD.format(body))
    assert [item.attributes for item in document.by_tag["LSG"]] == [{"A": "8", "B": "Graben"}]
    assert "point horizontal accuracy 0.02 m" in told
    (run,) = (child for child in first(document, "PFD").children if hasattr(child, "rows"))
    assert list(run.rows()) == [{"A": "2", "C": "54", "D": "7"}]


def test_the_number_0_goes_from_identifiers_and_references() -> None:
    """8.4: 0 is reserved from version 3 on."""
    document, told = up('<CTR A="CTR0" B="Jansen"/><CTR A="CTR1" B="Petersen"/><FRM A="FRM-0" B="x" I="CTR0"/>', 2)
    assert [item.id for item in document.by_tag["CTR"]] == ["CTR2", "CTR1"]
    assert first(document, "FRM").attributes == {"A": "FRM1", "B": "x", "I": "CTR2"}
    assert "CTR0: identifier CTR0 becomes CTR2" in told


STAMPS = {
    ("2026-07-01T06:00:00.5+02:00", None): "2026-07-01T06:00:00.5",
    ("2026-07-01T06:00:00Z", None): "2026-07-01T06:00:00",
    ("2026-07-01T23:30:00.25Z", "Europe/Berlin"): "2026-07-02T01:30:00.25",
    ("2026-01-01T06:00:00Z", "Europe/Berlin"): "2026-01-01T07:00:00",
    ("2026-01-01T06:00:00Z", "-03:30"): "2026-01-01T02:30:00",
    ("2026-01-01T06:00:00", "-03:30"): "2026-01-01T06:00:00",
    ("9999-12-31T23:59:59Z", "+14:00"): "9999-12-31T23:59:59",
    ("2026-02-30T06:00:00Z", "+01:00"): "2026-02-30T06:00:00",
    ("2026-12-31T24:00:00Z", "+01:00"): "2027-01-01T01:00:00",
    ("2024-02-28T23:30:00Z", "+01:00"): "2024-02-29T00:30:00",
    ("2023-02-28T23:30:00Z", "+01:00"): "2023-03-01T00:30:00",
    ("2026-12-31T23:59:60Z", "+01:00"): "2026-12-31T23:59:60",
    ("yesterday", None): "yesterday",
}


@pytest.mark.parametrize(("given", "wanted"), STAMPS.items())
def test_stamps_become_local_time(given: tuple[str, str | None], wanted: str) -> None:
    """Summer time of central Europe ran from 29 March to 25 October 2026 (Directive 2000/84/EC)."""
    text, zone = given
    assert without_zone(text, None if zone is None else zone_of(zone)) == wanted


def test_stamps_gain_the_offset_of_their_day_and_stay_within_29_characters() -> None:
    """D.1: at most 29 characters with the zone."""
    berlin = ZoneInfo("Europe/Berlin")
    assert with_zone("2026-07-01T06:00:00", berlin) == "2026-07-01T06:00:00+02:00"
    assert with_zone("2026-01-01T06:00:00.123456", zone_of("-00:30")) == "2026-01-01T06:00:00.123-00:30"
    assert with_zone("2026-01-01T06:00:00Z", berlin) == "2026-01-01T06:00:00Z"


@pytest.mark.parametrize("text", ["", "+25:00", "Mars/Base", "../etc", "+1"])
def test_what_is_no_zone_is_refused(text: str) -> None:
    with pytest.raises(UsageError, match="no time zone"):
        zone_of(text)


def test_binary_points_with_a_name_keep_it_and_share_no_identifier() -> None:
    content = struct.pack("<qqqq", 540000000000000000, 70000000000000000, 540000000000000000, 70010000000000000)
    line = '<LSG A="3"><PNT A="2" B="Süd" C="" D="" G="PNT7" J="PNT00001"/></LSG>'
    result, ledger = to_receiver(made(4, FIELD.format(line), PNT00001=content), BASIC)
    points = first(written(result), "LSG").elements("PNT")
    assert [point.attributes for point in points] == [
        {"A": "2", "B": "Sued", "C": "54", "D": "7"},
        {"A": "2", "B": "Sued", "C": "54", "D": "7.001"},
    ]
    assert "identifier PNT7" in whats(ledger)

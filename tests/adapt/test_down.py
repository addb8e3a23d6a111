"""From version 4 to version 3, one matter after the other; what is wanted follows from the annexes of ISO 11783-10.

Every set is sound before and after, and no line of the ledger stands twice.
"""

from __future__ import annotations

import struct

import pytest
from geographiclib.geodesic import Geodesic

from taskdata.adapt.versions import to_version
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.ledger import Loss
from tests.adapt.sets import HEAD, adapted, made, told, written

FIELD = '<PFD A="PFD1" C="Moorkamp" D="0">{}</PFD>'
LABEL = "FE" * 32 + "01020304050607"
DEVICE = (
    '<DVC A="DVC{0}" D="A00086002080000{0}" F="{1}" G="FF000000006564"><DET A="DET{0}" B="1" C="1" E="0" F="0">'
    '<DOR A="2"/></DET><DPD A="2" B="0001" C="{2}" D="8"/></DVC>'
)
GROUP = '<PGP A="PGP1" B="Getreide" C="2"/><PGP A="PGP2" B="Pflanzenschutz" C="1"/>'


def ring(south: float, west: float, size: float = 0.01, kind: int = 1) -> str:
    """Return a closed square, its first corner in the south-west."""
    corners = ((0, 0), (0, size), (size, size), (size, 0), (0, 0))
    points = "".join(f'<PNT A="2" C="{south + y:.4f}" D="{west + x:.4f}"/>' for y, x in corners)
    return f'<LSG A="{kind}">{points}</LSG>'


def lowered(
    body: str, document: Document | None = None, zone: str | None = None, **files: bytes
) -> tuple[Document, list[Loss]]:
    """Return a set of version 4 as one of version 3, and the ledger without what every set has in it."""
    return adapted(document or made(4, body, **files), 3, zone)


def first(document: Document, tag: str) -> Element:
    return document.by_tag[tag][0]


def test_the_root_states_version_3_and_no_language() -> None:
    """R-233: D.32."""
    document = made(4, "")
    document.root.attributes["lang"] = "de"
    after, ledger = lowered("", document)
    assert (after.version, after.root.get("DataTransferLanguage")) == ((3, 3), None)
    assert told(ledger) == [("dropped", None, "data transfer language de")]


def set_with_links() -> Document:
    """A set with a note, a link list and a product."""
    root = (
        '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1"'
        ' ManagementSoftwareManufacturer="x" ManagementSoftwareVersion="1">'
        '<AFE A="LINKLIST.XML" B="2" C="" D="1"/><AFE A="NOTES001.TXT" B="1" C="4000000000006" D="128"/>'
        '<PDT A="PDT1" B="Kalk"/></ISO11783_TaskData>'
    )
    links = (
        '<ISO11783LinkList VersionMajor="4" VersionMinor="3" DataTransferOrigin="1"'
        ' ManagementSoftwareManufacturer="x" ManagementSoftwareVersion="1">'
        '<LGP A="LGP1" B="1"><LNK A="PDT1" B="{1b4e28ba-2fa1-4d1d-883f-0016d3cca427}"/></LGP></ISO11783LinkList>'
    )
    contents = {
        "LINKLIST.XML": (HEAD + links).encode(),
        "NOTES001.TXT": b"Tor zu!",
        "TASKDATA.XML": (HEAD + root).encode(),
    }
    return document_of(FileSet("made", tuple(Blob.of(name, text) for name, text in contents.items()), "TASKDATA"))


def test_attached_files_and_the_link_list_go_and_are_named() -> None:
    """R-234: D.3, annex E."""
    after, ledger = lowered("", set_with_links())
    assert [file.name for file in after.xml_files] == ["TASKDATA.XML"]
    assert not after.others
    assert [item.tag for item in after.root.children if isinstance(item, Element)] == ["PDT"]
    assert told(ledger) == [
        ("dropped", None, "attached file NOTES001.TXT"),
        ("dropped", None, "link list LINKLIST.XML with 1 link"),
    ]


def test_capabilities_of_a_task_controller_go() -> None:
    """R-235: D.47."""
    capabilities = '<TCC A="A000860020800001" B="Terminal" C="4" D="1" E="0" F="0" G="0"/>'
    document = made(4, capabilities)
    document.root.attributes |= {
        "DataTransferOrigin": "2",
        "TaskControllerManufacturer": "x",
        "TaskControllerVersion": "1",
    }
    after, ledger = lowered("", document)
    assert "TCC" not in after.by_tag
    assert ("dropped", None, "task controller capabilities 'Terminal'") in told(ledger)


def test_peer_control_goes_and_is_named_by_its_devices() -> None:
    """R-236: D.12."""
    names = 'A="A000860020800001" B="A000860020800002" C="01020304050607" D="01020304050607"'
    devices = DEVICE.format(1, "01020304050607", 1) + DEVICE.format(2, "01020304050607", 3)
    task = f'<TSK A="TSK1" G="1"><CAT {names} E="0" F="0" G="0001"/></TSK>'
    after, ledger = lowered(devices + task)
    assert "CAT" not in after.by_tag
    assert told(ledger) == [
        ("dropped", "TSK1", "peer control of A000860020800002 by A000860020800001, value 0001"),
    ]


ENDS = '<PNT A="6" C="54.3000" D="7.0000"/><PNT A="7" C="54.3100" D="7.0000"/>'
PATTERN = '<GPN A="GPN{0}" B="Spur {0}" C="{1}"{2}><LSG A="5" C="6000">{3}</LSG></GPN>'


def test_groups_and_shifts_go_and_their_patterns_become_lines_of_the_field() -> None:
    """R-237: D.28 to D.31."""
    patterns = PATTERN.format(1, 1, ' E="2" N="4"', ENDS) + PATTERN.format(2, 1, "", ENDS)
    shift = '<GAN A="GGP1"><ASP A="2026-04-01T06:00:00" D="1"/><GST A="GGP1" C="120"/></GAN>'
    body = FIELD.format(f'<GGP A="GGP1" B="Nord">{patterns}</GGP>') + f'<TSK A="TSK1" G="1">{shift}</TSK>'
    after, ledger = lowered(body)
    assert not {"GAN", "GST", "GGP", "GPN"} & set(after.by_tag)
    lines = list(first(after, "PFD").elements("LSG"))
    assert [line.attributes for line in lines] == [
        {"A": "5", "B": "Spur 1", "C": "6000"},
        {"A": "5", "B": "Spur 2", "C": "6000"},
    ]
    assert told(ledger) == [
        ("changed", "GPN1", "guidance pattern 'Spur 1' (A-B line) becomes a line of type 5"),
        ("dropped", "GPN1", "guidance pattern propagation direction 2 (left only), number of swaths left 4"),
        ("changed", "GPN2", "guidance pattern 'Spur 2' (A-B line) becomes a line of type 5"),
        ("dropped", "GGP1", "guidance group 'Nord'"),
        ("dropped", "TSK1", "assignment of GGP1 to the task with 1 shift"),
    ]


CENTRE = '<PNT A="8" C="54.3000" D="7.0000"/>'
CORNERS = '<PNT A="6" C="54.3010" D="7.0000"/><PNT A="7" C="54.3000" D="7.001715"/>'


@pytest.mark.parametrize(
    ("code", "given", "points", "count"),
    [
        (2, ' G="90"', '<PNT A="6" C="54.3" D="7.0"/>', 2),
        (3, "", '<PNT A="6" C="54.3" D="7.0"/><PNT A="9" C="54.301" D="7.001"/><PNT A="7" C="54.302" D="7.0"/>', 3),
        (4, ' H="111300"', CENTRE, 237),
        (4, ' D="1" H="111300"', CENTRE + CORNERS, 61),
        (4, ' D="2" H="111300"', CENTRE + CORNERS, 179),
        (5, "", '<PNT A="6" C="54.3" D="7.0"/><PNT A="9" C="54.301" D="7.001"/><PNT A="7" C="54.303" D="7.0"/>', 3),
    ],
)
def test_every_kind_of_pattern_leaves_its_course_name_and_width(code: int, given: str, points: str, count: int) -> None:
    """R-237: D.30; a quarter of a circle takes a quarter of the points."""
    after, ledger = lowered(FIELD.format(f'<GGP A="GGP1">{PATTERN.format(1, code, given, points)}</GGP>'))
    (line,) = first(after, "PFD").elements("LSG")
    assert line.attributes == {"A": "5", "B": "Spur 1", "C": "6000"}
    assert line.point_count() == pytest.approx(count, abs=2)
    assert "GPN1" in {loss.element for loss in ledger}
    back, _ = to_version(after, 4)
    (pattern,) = written(back).by_tag["GPN"]
    assert (pattern["GuidancePatternDesignator"], pattern["GuidancePatternType"]) == (
        "Spur 1",
        "1" if count == 2 else "3",
    )


def test_an_arc_runs_from_its_first_point_to_its_last_the_way_it_states() -> None:
    """R-237: clockwise from the north to the east is a quarter, against the clock three quarters; by geographiclib."""
    for option, middle in (("1", 45.0), ("2", 225.0)):
        pattern = PATTERN.format(1, 4, f' D="{option}" H="111300"', CENTRE + CORNERS)
        after, _ = lowered(FIELD.format(f'<GGP A="GGP1">{pattern}</GGP>'))
        points = first(after, "LSG").coordinates()
        bearings = [Geodesic.WGS84.Inverse(54.3, 7.0, lat, lon)["azi1"] % 360 for lon, lat in points]
        assert bearings[0] == pytest.approx(0, abs=0.01)
        assert bearings[-1] == pytest.approx(90, abs=0.01)
        assert bearings[len(bearings) // 2] == pytest.approx(middle, abs=2)


@pytest.mark.parametrize("order", [(0, 1, 2), (1, 2, 0), (2, 0, 1)])
def test_an_arc_is_the_same_in_whatever_order_its_points_stand(order: tuple[int, ...]) -> None:
    """R-237: the types of the points tell centre, A and B."""
    points = [CENTRE, *CORNERS.replace("><", ">|<").split("|")]
    arcs = []
    for given in (points, [points[at] for at in order]):
        pattern = PATTERN.format(1, 4, ' D="1"', "".join(given))
        result, _ = to_version(made(4, FIELD.format(f'<GGP A="GGP1">{pattern}</GGP>')), 3)
        arcs.append(first(written(result), "LSG").coordinates().tolist())
    assert arcs[0] == arcs[1]


def test_a_line_whose_b_stands_first_is_turned_round() -> None:
    """R-237: without types only the order tells A from B."""
    points = "".join(reversed(ENDS.replace("><", ">|<").split("|")))
    result, ledger = to_version(made(4, FIELD.format(f'<GGP A="GGP1">{PATTERN.format(1, 1, "", points)}</GGP>')), 3)
    assert first(written(result), "LSG").coordinates().tolist() == [[7.0, 54.3], [7.0, 54.31]]
    assert ("changed", "GPN1", "the points of its line are reversed") in told(ledger)


def test_base_stations_go_by_name_with_what_refers_to_them() -> None:
    """R-238: D.4."""
    pattern = PATTERN.format(1, 1, ' L="BSN1"', ENDS)
    station = '<BSN A="BSN1" B="Scheune" C="54.3" D="7.0" E="12000"/>'
    after, ledger = lowered(station + FIELD.format(f'<GGP A="GGP1">{pattern}</GGP>'))
    assert "BSN" not in after.by_tag
    assert ("dropped", "BSN1", "base station 'Scheune'") in told(ledger)


def test_crops_lose_their_link_to_products() -> None:
    """R-239: D.13, D.14, D.44."""
    crop = '<CTP A="CTP1" B="Weizen" C="PGP1"><CVT A="CVT1" B="Früh" C="PDT1"/></CTP>'
    after, ledger = lowered(GROUP + crop + '<PDT A="PDT1" B="Weizen" C="PGP1"/>')
    assert first(after, "CTP").attributes == {"A": "CTP1", "B": "Weizen"}
    assert first(after, "CVT").attributes == {"A": "CVT1", "B": "Früh"}
    assert first(after, "PDT").attributes == {"A": "PDT1", "B": "Weizen", "C": "PGP1"}
    assert set(told(ledger)) == {
        ("dropped", "CTP1", "product group PGP1"),
        ("dropped", "CVT1", "product PDT1"),
        ("dropped", "PGP1", "product group type 2 (crop type)"),
        ("dropped", "PGP2", "product group type 1 (product group)"),
    }


def test_a_mixture_becomes_a_plain_product_and_its_recipe_is_named() -> None:
    """R-240: D.42, D.45."""
    parts = '<PRN A="PDT2" B="30"/><PRN A="PDT3" B="70"/>'
    plain = '<PDT A="PDT2" B="Mittel" E="0048" H="1100000"/><PDT A="PDT3" B="Wasser" E="0048"/>'
    after, ledger = lowered(f'<PDT A="PDT1" B="Brühe" E="0048" F="2" G="100">{parts}</PDT>' + plain)
    assert [product.attributes for product in after.by_tag["PDT"]] == [
        {"A": "PDT1", "B": "Brühe", "E": "0048"},
        {"A": "PDT2", "B": "Mittel", "E": "0048"},
        {"A": "PDT3", "B": "Wasser", "E": "0048"},
    ]
    assert "PRN" not in after.by_tag
    assert set(told(ledger)) == {
        ("dropped", "PDT1", "product type 2 (mixture)"),
        ("dropped", "PDT1", "mixture recipe quantity 100"),
        ("dropped", "PDT1", "recipe of product 'Brühe': 30 of 'Mittel', 70 of 'Wasser'"),
        ("dropped", "PDT2", "density mass per volume 1100000 mg/l"),
    }


SETPOINT = '<PDV A="0006" B="{}"{}/>'


@pytest.mark.parametrize(
    ("given", "warned"),
    [
        ((' F="1"', ' F="2"'), True),
        ((' G="1"', ' G="2"'), True),
        ((' F="1"', ""), True),
        ((' F="1" C="PDT1"', ' F="2" C="PDT2"'), False),
        ((' F="1" D="DET1"', ' F="2" D="DET2"'), False),
        ((' F="1"', ' F="1"'), False),
    ],
)
def test_setpoints_that_only_operation_or_instance_told_apart_are_warned_of(
    given: tuple[str, str], warned: bool
) -> None:
    """R-241: D.41; in one zone as in two over the same ground."""
    products = '<PDT A="PDT1" B="a"/><PDT A="PDT2" B="b"/>'
    devices = DEVICE.format(1, "01020304050607", 2) + DEVICE.format(2, "01020304050607", 2)
    one, other = (SETPOINT.format(value, more) for value, more in zip((5, 7), given, strict=True))
    shape = f'<PLN A="2">{ring(54, 7)}</PLN>'
    for zones, codes in (
        (f'<TZN A="1">{one}{other}</TZN>', "zone 1 holds"),
        (f'<TZN A="1">{shape}{one}</TZN><TZN A="2">{shape}{other}</TZN>', "zones 1, 2 hold"),
    ):
        after, ledger = lowered(products + devices + f'<TSK A="TSK1" G="1">{zones}</TSK>')
        assert not any({"F", "G"} & set(setpoint.attributes) for setpoint in after.by_tag["PDV"])
        warning = ("changed", "TSK1", f"{codes} setpoints that nothing tells apart any longer")
        assert (warning in told(ledger)) == warned


def test_a_remainder_is_left_out_and_never_becomes_a_filling_or_emptying() -> None:
    """R-242: D.43."""
    amounts = "".join(f'<PAN A="PDT1" B="0048" C="{mode}0" D="{mode}"/>' for mode in (1, 2, 3))
    after, ledger = lowered(f'<PDT A="PDT1" B="x"/><TSK A="TSK1" G="4">{amounts}</TSK>')
    kept = [(item["QuantityValue"], item["TransferMode"]) for item in after.by_tag["PAN"]]
    assert kept == [("10", "1"), ("20", "2")]
    assert told(ledger) == [("dropped", "TSK1", "remainder 30 of PDT1")]


def test_files_that_another_task_names_too_stay() -> None:
    """R-243: only what belongs to a task that is left out goes with it."""
    grid = '<TZN A="1"><PDV A="0006" B="5"/></TZN><GRD A="54" B="7" C="0.1" D="0.1" E="1" F="1" G="GRD0000{}" I="1"/>'
    body = f'<TSK A="TSK1" G="6">{grid.format(1)}</TSK><TSK A="TSK2" G="1">{grid.format(1)}</TSK>'
    after, _ = lowered(body + f'<TSK A="TSK3" G="5">{grid.format(2)}</TSK>', GRD00001=b"\x01", GRD00002=b"\x01")
    assert [task.id for task in after.by_tag["TSK"]] == ["TSK2"]
    assert list(after.others) == ["GRD00001.BIN"]


def test_powered_down_becomes_ineffective_time() -> None:
    """R-244: D.48."""
    times = '<TIM A="2026-04-01T06:00:00" C="60" D="8"/><TIM A="2026-04-01T07:00:00" C="60" D="4"/>'
    after, ledger = lowered(f'<TSK A="TSK1" G="4">{times}</TSK>')
    assert [item["Type"] for item in after.by_tag["TIM"]] == ["5", "4"]
    assert told(ledger) == [("changed", "TSK1", "time of type 8 (powered down) becomes type 5 (ineffective)")]


def test_types_identifiers_and_accuracies_of_points_go() -> None:
    """R-245: D.38."""
    stone = '<PNT A="5" B="Stein" C="54.3" D="7" E="900" F="3" G="PNT1" H="0.02" I="0.05"/>'
    after, ledger = lowered(FIELD.format(stone + '<PNT A="1" B="Tor" C="54.4" D="7"/>'))
    rows = [dict(item.attributes) for item in first(after, "PFD").elements("PNT")]
    assert rows == [
        {"A": "2", "B": "Stein", "C": "54.3", "D": "7", "E": "900", "F": "3"},
        {"A": "1", "B": "Tor", "C": "54.4", "D": "7"},
    ]
    assert set(told(ledger)) == {
        ("changed", "PFD1", "1 point of type 5 (obstacle) becomes type 2 (other)"),
        ("dropped", "PFD1", "identifier PNT1"),
        ("dropped", "PFD1", "point horizontal accuracy 0.02 m"),
        ("dropped", "PFD1", "point vertical accuracy 0.05 m"),
    }


def test_a_ring_of_binary_points_is_written_as_elements() -> None:
    """R-246: 8.6.4, signed 64-bit integers in 1e-16 degree; here positions and heights in mm."""
    corners = ((54.0, 7.0), (54.0, 7.01), (54.01, 7.01), (54.0, 7.0))
    content = b"".join(struct.pack("<qqi", round(n * 1e16), round(e * 1e16), 1500) for n, e in corners)
    line = f'<LSG A="1"><PNT A="2" C="" D="" E="" J="PNT00001" K="{len(content)}"/></LSG>'
    after, ledger = lowered(FIELD.format(f'<PLN A="1">{line}</PLN>'), PNT00001=content)
    assert first(after, "LSG").coordinates().tolist() == [[east, north] for north, east in corners]
    assert {row["E"] for child in first(after, "LSG").children if hasattr(child, "rows") for row in child.rows()} == {
        "1500"
    }
    assert not after.others
    assert told(ledger) == [("changed", "PFD1", "binary points PNT00001 become points in XML")]


def test_a_value_that_a_binary_point_lacks_is_no_attribute() -> None:
    """R-246: 8.6.4; the colour 255 and the height -1 mean not available."""
    rows = [(54.0, 7.0, 1500, 3), (54.0, 7.01, 1500, 255), (54.01, 7.01, -1, 255), (54.0, 7.0, 1500, 3)]
    content = b"".join(struct.pack("<qqiB", round(n * 1e16), round(e * 1e16), up, hue) for n, e, up, hue in rows)
    line = f'<LSG A="1"><PNT A="2" C="" D="" E="" F="" J="PNT00001" K="{len(content)}"/></LSG>'
    after, _ = lowered(FIELD.format(f'<PLN A="1">{line}</PLN>'), PNT00001=content)
    runs = [child for child in first(after, "LSG").children if hasattr(child, "rows")]
    found = [(row.get("E"), row.get("F")) for run in runs for row in run.rows()]
    assert found == [("1500", "3"), ("1500", None), (None, None), ("1500", "3")]


def test_an_obstacle_line_becomes_a_flag_with_a_name_or_goes() -> None:
    """R-247: D.33."""
    points = '<PNT A="2" C="54" D="7"/><PNT A="2" C="54" D="7.1"/>'
    lines = (
        f'<LSG A="9" B="Graben" F="LSG1">{points}</LSG><LSG A="9" B="">{points}</LSG><LSG A="7" F="LSG2">{points}</LSG>'
    )
    after, ledger = lowered(FIELD.format(lines))
    assert [item.attributes for item in after.by_tag["LSG"]] == [{"A": "8", "B": "Graben"}, {"A": "7"}]
    assert set(told(ledger)) == {
        ("dropped", "PFD1", "identifier LSG1"),
        ("changed", "PFD1", "line string 'Graben' of type 9 (obstacle) becomes type 8 (flag)"),
        ("dropped", "PFD1", "an obstacle line without a name"),
        ("dropped", "PFD1", "identifier LSG2"),
    }


@pytest.mark.parametrize(("code", "name"), [(9, "mainfield"), (10, "headland"), (11, "buffer zone"), (12, "windbreak")])
def test_polygons_of_later_types_become_other(code: int, name: str) -> None:
    """R-248: D.39."""
    after, ledger = lowered(FIELD.format(f'<PLN A="{code}" B="Rand" E="PLN1">{ring(54, 7)}</PLN>'))
    assert first(after, "PLN").attributes == {"A": "8", "B": "Rand"}
    assert set(told(ledger)) == {
        ("dropped", "PFD1", "identifier PLN1"),
        ("changed", "PFD1", f"polygon 'Rand' of type {code} ({name}) becomes type 8 (other)"),
    }


def test_boundaries_of_a_field_become_one_and_inner_rings_follow() -> None:
    """R-249: D.37, D.39."""
    hole = ring(54.002, 7.002, 0.001, 2)
    polygons = f'<PLN A="1" B="Nord" C="700">{hole}{ring(54, 7)}</PLN><PLN A="1" B="Süd" C="300">{ring(54.1, 7)}</PLN>'
    after, ledger = lowered(FIELD.format(polygons + f'<PLN A="6">{ring(54.2, 7)}</PLN>'))
    joined, other = after.by_tag["PLN"]
    assert joined.attributes == {"A": "1", "B": "Nord", "C": "1000"}
    assert [item["LineStringType"] for item in joined.elements("LSG")] == ["1", "2", "1"]
    assert other["PolygonType"] == "6"
    assert told(ledger) == [
        ("dropped", "PFD1", "attributes of a joined polygon: polygon designator Süd"),
        ("changed", "PFD1", "2 boundaries become one polygon"),
    ]


def test_polygons_of_a_zone_become_one() -> None:
    """R-250: D.39, D.50."""
    polygons = f'<PLN A="2">{ring(54, 7)}</PLN><PLN A="2">{ring(54.1, 7)}</PLN>'
    after, ledger = lowered(f'<TSK A="TSK1" G="1"><TZN A="3">{polygons}<PDV A="0006" B="5"/></TZN></TSK>')
    (joined,) = after.by_tag["PLN"]
    assert len(list(joined.elements("LSG"))) == 2
    assert told(ledger) == [("changed", "TSK1", "2 polygons of zone 3 become one polygon")]


@pytest.mark.parametrize(
    ("given", "named", "joined"),
    [
        (('C="PDT1"', 'C="PDT2"'), "", True),
        (('C="PDT1"', 'C="PDT1"'), "", False),
        (('C="PDT1"', 'C="PDT2"'), 'H="7"', False),
    ],
)
def test_zones_of_one_place_are_one_where_something_tells_their_setpoints_apart(
    given: tuple[str, str], named: str, joined: bool
) -> None:
    """R-250, and the way back of R-260: version 3 has several setpoints in a zone with polygons (6.8.1.2)."""
    shape = f'<PLN A="2">{ring(54, 7)}</PLN>'
    zones = "".join(
        f'<TZN A="{code}" B="Nord">{shape}<PDV A="0006" B="{code}0" {more}/></TZN>'
        for code, more in zip((4, 7), given, strict=True)
    )
    after, ledger = lowered(f'<PDT A="PDT1" B="a"/><PDT A="PDT2" B="b"/><TSK A="TSK1" G="1" {named}>{zones}</TSK>')
    found = [
        (zone["TreatmentZoneCode"], [item["ProcessDataValue"] for item in zone.elements("PDV")])
        for zone in after.by_tag["TZN"]
    ]
    assert found == ([("4", ["40", "70"])] if joined else [("4", ["40"]), ("7", ["70"])])
    line = ("changed", "TSK1", "zones 4, 7 at the same place become zone 4 with 2 setpoints")
    assert told(ledger) == ([line] if joined else [])


def test_rings_stay_closed() -> None:
    """R-251: version 3 asks for no repeated point, and bears it (D.33)."""
    after, ledger = lowered(FIELD.format(f'<PLN A="1">{ring(54, 7)}</PLN>'))
    assert (first(after, "LSG").point_count(), ledger) == (5, [])


def test_stamps_become_local_time_and_utc_is_converted_or_warned_of() -> None:
    """R-252: D.2, D.48; every kind of stamp, in a task and in what stands in it."""
    stamps = '<ASP A="2026-07-01T06:00:00Z" D="1"/>'
    times = '<TIM A="2026-07-01T06:00:00+03:00" B="2026-07-01T07:30:00.5+03:00" D="4"/>'
    body = f'<WKR A="WKR1" B="x"/><TSK A="TSK1" G="4">{times}<WAN A="WKR1">{stamps}</WAN></TSK>'
    after, ledger = lowered(body)
    assert first(after, "TIM").attributes == {"A": "2026-07-01T06:00:00", "B": "2026-07-01T07:30:00.5", "D": "4"}
    assert first(after, "ASP")["Start"] == "2026-07-01T06:00:00"
    assert told(ledger) == [
        ("changed", "TSK1", "time stamps lose their time zone +03:00 (2 times)"),
        ("changed", "TSK1", "time stamps in UTC are now read as local time"),
    ]
    after, ledger = lowered(body, zone="Europe/Berlin")
    assert first(after, "ASP")["Start"] == "2026-07-01T08:00:00"
    assert told(ledger)[1] == ("changed", "TSK1", "time stamps in UTC become local time")


def test_two_devices_that_only_an_extension_told_apart_are_warned_of() -> None:
    """R-253: D.19; the label itself stands at the end of the string."""
    other = "FD" + LABEL[2:]
    after, ledger = lowered(
        DEVICE.format(1, LABEL, 3) + DEVICE.format(1, other, 3).replace('"DVC1"', '"DVC2"').replace("DET1", "DET2")
    )
    assert [device["DeviceStructureLabel"] for device in after.by_tag["DVC"]] == ["01020304050607"] * 2
    assert told(ledger) == [
        ("changed", "DVC1", "structure label is cut to its last 7 bytes"),
        ("changed", "DVC2", "structure label is cut to its last 7 bytes"),
        ("changed", "DVC2", "device now has the same label as another device"),
    ]


@pytest.mark.parametrize(("bits", "left"), [(4, "0"), (5, "1"), (3, "3")])
def test_control_sources_lose_their_bit(bits: int, left: str) -> None:
    """R-254: D.23."""
    after, ledger = lowered(DEVICE.format(1, "01020304050607", bits))
    assert first(after, "DPD")["DeviceProcessDataProperty"] == left
    assert told(ledger) == ([("changed", "DVC1", "value 0001 is no longer a control source")] if bits & 4 else [])


@pytest.mark.parametrize(("before", "after"), [(4, 3), (3, 4)])
def test_the_converter_is_the_last_writer(before: int, after: int) -> None:
    """R-255: D.32."""
    document = made(before, "")
    document.root.attributes |= {
        "TaskControllerManufacturer": "x",
        "TaskControllerVersion": "1",
        "DataTransferOrigin": "2",
    }
    result, ledger = to_version(document, after)
    root = written(result).root
    assert (root["DataTransferOrigin"], root["ManagementSoftwareManufacturer"]) == ("1", "taskdata")
    assert root.get("TaskControllerManufacturer") is None
    assert {" ".join(loss.what.split()[:3]) for loss in ledger} >= {
        "data transfer origin",
        "task controller manufacturer",
    }


def test_binary_logs_and_grids_stay_to_the_byte() -> None:
    """R-256: 8.6.2, 8.6.3."""
    header = HEAD + '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="0006" B="" C="DET1"/></TIM>'
    record = struct.pack("<IHiiBBBi", 21600000, 16892, 543000000, 70000000, 1, 1, 0, 5)
    task = (
        '<TSK A="TSK1" G="4"><TZN A="1"><PDV A="0006" B="5"/></TZN><TLG A="TLG00001"/>'
        '<TIM A="2026-04-01T06:00:00" C="60" D="4"/>'
        '<GRD A="54" B="7" C="0.1" D="0.1" E="1" F="1" G="GRD00001" I="1"/></TSK>'
    )
    source = made(4, DEVICE.format(1, "01020304050607", 3) + task)
    main = written(source)
    contents = {"GRD00001.BIN": b"\x01", "TLG00001.BIN": record, "TLG00001.XML": header.encode()}
    blobs = [Blob.of(name, content) for name, content in contents.items()]
    blobs.append(Blob.of("TASKDATA.XML", xml_bytes(main.xml_files[0])))
    after, ledger = lowered("", document_of(FileSet("made", tuple(blobs), "TASKDATA")))
    assert {name: blob.read() for name, blob in after.others.items()} == {
        "GRD00001.BIN": b"\x01",
        "TLG00001.BIN": record,
    }
    layout = after.header("TLG00001")
    assert layout is not None
    assert b"".join(line.strip() for line in xml_bytes(layout).splitlines()) == header.replace("\n", "").encode()
    assert ledger == []

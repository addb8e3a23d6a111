"""From version 3 or 2 to version 4, one matter after the other; what is wanted follows from ISO 11783-10, annex D.

Every set is sound before and after, and no line of the ledger stands twice.
"""

from __future__ import annotations

import pytest
from shapely.geometry import Polygon

from taskdata.adapt.clock import zone_of
from taskdata.adapt.versions import to_version
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import Loss
from tests.adapt.sets import adapted, errors, made, told, written

FIELD = '<PFD A="PFD1" C="Moorkamp" D="0">{}</PFD>'


def square(south: float, west: float, size: float = 0.01, kind: int = 1, *, closed: bool = False) -> str:
    corners = [(0.0, 0.0), (0.0, size), (size, size), (size, 0.0)]
    corners += corners[:1] if closed else []
    points = "".join(f'<PNT A="2" C="{south + y:.4f}" D="{west + x:.4f}"/>' for y, x in corners)
    return f'<LSG A="{kind}">{points}</LSG>'


def raised(body: str, version: int = 3, zone: str | None = None, **files: bytes) -> tuple[Document, list[Loss]]:
    """Return a set as one of version 4, and the ledger without what every set has in it."""
    return adapted(made(version, body, **files), 4, zone)


@pytest.mark.parametrize("version", [2, 3])
def test_the_root_states_version_4(version: int) -> None:
    """R-257: D.32."""
    after, ledger = raised("", version)
    assert (after.version, ledger) == ((4, 3), [])


@pytest.mark.parametrize("major", ["0", "1", "2"])
@pytest.mark.parametrize("target", [3, 4])
def test_drafts_are_taken_as_version_2(major: str, target: int) -> None:
    """R-257: D.32 lists 0 and 1 as drafts of the first edition."""
    document = made(2, '<CTR A="CTR0" B="Jansen"/>')
    document.root.set("VersionMajor", major)
    result, _ = to_version(document, target)
    assert written(result).version == (target, 3)
    assert written(result).by_tag["CTR"][0].id == "CTR1"


def test_open_rings_are_closed_and_closed_ones_stay() -> None:
    """R-258: D.33."""
    body = f'<PLN A="1">{square(54, 7)}{square(54.002, 7.002, 0.001, 2, closed=True)}</PLN>'
    after, ledger = raised(FIELD.format(body))
    rings = [item.coordinates() for item in after.by_tag["LSG"]]
    assert [len(ring) for ring in rings] == [5, 5]
    assert all((ring[0] == ring[-1]).all() for ring in rings)
    assert told(ledger) == [("changed", "PFD1", "ring is closed by repeating its first point")]


def test_each_outer_ring_becomes_a_polygon_with_the_holes_that_lie_in_it() -> None:
    """R-259: D.39; shapely decides what lies in what."""
    outer = [square(south, 7, closed=True) for south in (54.0, 54.1, 54.2)]
    holes = [square(south, 7.002, 0.001, 2, closed=True) for south in (54.202, 54.005, 54.002)]
    after, ledger = raised(FIELD.format(f'<PLN A="1" B="Teile" C="9">{"".join(outer + holes)}</PLN>'))
    polygons = after.by_tag["PLN"]
    assert [len(list(item.elements("LSG"))) for item in polygons] == [3, 1, 2]
    for polygon in polygons:
        shape, *inner = (Polygon(ring.coordinates()) for ring in polygon.elements("LSG"))
        assert all(shape.contains(hole) for hole in inner)
        assert polygon["PolygonDesignator"] == "Teile"
    assert told(ledger) == [("changed", "PFD1", "polygon 'Teile' becomes 3 polygons, each with its own area")]


SHAPE = f'<PLN A="2">{square(54, 7, closed=True)}</PLN>'
RATES = '<PDV A="0006" B="5" C="PDT1"/><PDV A="0006" B="7" C="PDT2"/><PDV A="0001" B="9"/>'
PRODUCTS = '<PDT A="PDT1" B="a"/><PDT A="PDT2" B="b"/>'


def zones(document: Document) -> dict[str, tuple[int, list[str]]]:
    """Code of each zone to its number of polygons and its values."""
    return {
        zone["TreatmentZoneCode"]: (
            sum(1 for _ in zone.elements("PLN")),
            [item["ProcessDataValue"] for item in zone.elements("PDV")],
        )
        for zone in document.by_tag["TZN"]
    }


def test_a_zone_with_polygons_becomes_one_for_each_setpoint() -> None:
    """R-260: D.50, 6.8.1.2."""
    zone = f'<TZN A="4" B="Nord" C="7">{SHAPE}{RATES}</TZN>'
    after, ledger = raised(f'{PRODUCTS}<TSK A="TSK1" G="1">{zone}</TSK>')
    assert zones(after) == {"4": (1, ["5"]), "0": (1, ["7"]), "1": (1, ["9"])}
    assert {(item["TreatmentZoneDesignator"], item["TreatmentZoneColour"]) for item in after.by_tag["TZN"]} == {
        ("Nord", "7")
    }
    assert told(ledger) == [("changed", "TSK1", "zone 4 becomes 3 zones with the codes 4, 0, 1")]


def test_codes_from_0_to_254_are_used_up_before_a_zone_stays_whole() -> None:
    """R-260: the code is an octet, 255 is none; one zone takes the last free codes, the next stays and is named."""
    plain = "".join(f'<TZN A="{code}"><PDV A="0006" B="1"/></TZN>' for code in range(3, 252))
    shaped = "".join(f'<TZN A="{code}">{SHAPE}{RATES}</TZN>' for code in (0, 1, 2))
    result, ledger = to_version(made(3, f'{PRODUCTS}<TSK A="TSK1" G="1">{shaped}{plain}</TSK>'), 4)
    after = written(result)
    found = zones(after)
    assert len(found) == 254
    assert [len(found[code][1]) for code in ("0", "252", "253", "1", "2")] == [1, 1, 1, 3, 3]
    assert errors(after) == {"zone.not-one-setpoint": 2}
    assert [what for _, element, what in told(ledger) if element == "TSK1"] == [
        "zone 0 becomes 3 zones with the codes 0, 252, 253",
        "zone 1 keeps polygons with 3 setpoints",
        "zone 2 keeps polygons with 3 setpoints",
    ]


@pytest.mark.parametrize(
    ("task", "grid", "content"),
    [
        ('H="9"', "", b""),
        ('I="9"', "", b""),
        ('J="9"', "", b""),
        ("", '<GRD A="54" B="7" C="0.1" D="0.1" E="1" F="1" G="GRD00001" I="1"/>', b"\x09"),
        ("", '<GRD A="54" B="7" C="0.1" D="0.1" E="1" F="1" G="GRD00001" I="2" J="9"/>', bytes(12)),
    ],
)
def test_a_zone_that_is_named_keeps_its_setpoints_without_polygons(task: str, grid: str, content: bytes) -> None:
    """R-261: D.46, D.50, 8.6.2."""
    files = {"GRD00001": content} if grid else {}
    body = f'{PRODUCTS}<TSK A="TSK1" G="1" {task}><TZN A="9">{SHAPE}{RATES}</TZN>{grid}</TSK>'
    after, ledger = raised(body, **files)
    assert zones(after) == {"9": (0, ["5", "7", "9"]), "0": (1, ["5"]), "1": (1, ["7"]), "2": (1, ["9"])}
    assert told(ledger) == [
        ("changed", "TSK1", "zone 9 becomes 3 zones with the codes 0, 1, 2"),
        ("changed", "TSK1", "zone 9 stays without polygons"),
    ]


def test_codes_with_leading_zeros_are_the_same_codes() -> None:
    """R-260, R-261: they are numbers, and 07 is 7."""
    grid = '<GRD A="54" B="7" C="0.1" D="0.1" E="1" F="1" G="GRD00001" I="1"/>'
    body = f'<TSK A="TSK1" G="1"><TZN A="00">{SHAPE}{RATES}</TZN><TZN A="07">{SHAPE}{RATES}</TZN>{grid}</TSK>'
    after, _ = raised(PRODUCTS + body, GRD00001=b"\x07")
    assert zones(after) == {
        "00": (1, ["5"]),
        "1": (1, ["7"]),
        "2": (1, ["9"]),
        "07": (0, ["5", "7", "9"]),
        "3": (1, ["5"]),
        "4": (1, ["7"]),
        "5": (1, ["9"]),
    }


def test_preparation_becomes_effective_time_of_the_kind_that_version_4_has() -> None:
    """R-262: D.48."""
    after, ledger = raised('<TSK A="TSK1" G="4"><TIM A="2019-04-01T06:00:00" C="60" D="3"/></TSK>')
    assert after.by_tag["TIM"][0]["Type"] == "2"
    assert [(loss.element, loss.what.split(" (")[0]) for loss in ledger] == [("TSK1", "time of type 3")]


def test_a_set_of_a_machine_becomes_one_of_the_office_without_inventing_a_task_controller() -> None:
    """R-263: D.32, D.47."""
    document = made(3, "")
    document.root.attributes |= {
        "TaskControllerManufacturer": "x",
        "TaskControllerVersion": "1",
        "DataTransferOrigin": "2",
    }
    result, ledger = to_version(document, 4)
    after = written(result)
    assert (after.root["DataTransferOrigin"], after.root.get("TaskControllerVersion")) == ("1", None)
    assert "TCC" not in after.by_tag
    assert {"data transfer origin 2 (machine) becomes 1 (office)", "task controller manufacturer x"} <= {
        loss.what for loss in ledger
    }
    assert not errors(after)


BERLIN = {
    "2026-03-29T01:59:59": "+01:00",
    "2026-03-29T03:00:00": "+02:00",
    "2026-10-25T01:59:59": "+02:00",
    "2026-10-25T03:00:00": "+01:00",
    "2024-02-29T12:00:00": "+01:00",
    "2000-07-01T12:00:00": "+02:00",
}
"""Clocks change at 1:00 UTC on the last Sundays of March and October (Directive 2000/84/EC)."""


def test_stamps_gain_the_zone_only_where_it_is_known() -> None:
    """R-264: D.2, D.48."""
    body = '<TSK A="TSK1" G="4">' + "".join(f'<TIM A="{text}" C="1" D="4"/>' for text in BERLIN) + "</TSK>"
    after, ledger = raised(body)
    assert [item["Start"] for item in after.by_tag["TIM"]] == list(BERLIN)
    assert ledger == []
    after, ledger = raised(body, zone="Europe/Berlin")
    assert [item["Start"] for item in after.by_tag["TIM"]] == [text + offset for text, offset in BERLIN.items()]
    assert told(ledger) == [("changed", "TSK1", "time stamps gain a time zone (6 times)")]


@pytest.mark.parametrize("text", ["2026-03-29T02:30:00", "2026-10-25T02:00:00", "2026-10-25T02:59:59"])
def test_stamps_in_the_hour_of_the_change_are_named(text: str) -> None:
    """R-264: such a reading of the clock comes twice in October and never in March."""
    _, ledger = raised(f'<TSK A="TSK1" G="4"><TIM A="{text}" C="1" D="4"/></TSK>', zone="Europe/Berlin")
    warning = ("approximated", "TSK1", f"time stamp {text} lies in the hour in which the clock changes")
    assert warning in told(ledger)


def test_what_is_no_time_gains_no_zone_and_is_not_told_to() -> None:
    """R-264."""
    result, ledger = to_version(
        made(3, '<TSK A="TSK1" G="4"><TIM A="2026-02-30T02:30:00" D="4"/></TSK>'), 4, zone=zone_of("Z")
    )
    assert written(result).by_tag["TIM"][0]["Start"] == "2026-02-30T02:30:00"
    assert not [loss for loss in ledger if loss.element == "TSK1"]


def test_identifiers_with_0_are_renumbered_with_all_references() -> None:
    """R-265: 8.4."""
    body = (
        '<CTR A="CTR0" B="Jansen"/><FRM A="FRM0" B="Hof" I="CTR0"/><PDT A="PDT0" B="Kalk"/>'
        '<PFD A="PFD0" C="Moorkamp" D="0" E="CTR0" F="FRM0"/>'
        '<TSK A="TSK0" C="CTR0" D="FRM0" E="PFD0" G="1"><TZN A="0"><PDV A="0006" B="5" C="PDT0"/></TZN></TSK>'
    )
    after, ledger = raised(body, 2)
    assert sorted(after.by_id) == ["CTR1", "FRM1", "PDT1", "PFD1", "TSK1"]
    assert after.by_tag["TSK"][0].attributes == {"A": "TSK1", "C": "CTR1", "D": "FRM1", "E": "PFD1", "G": "1"}
    assert after.by_tag["PDV"][0]["ProductIdRef"] == "PDT1"
    assert after.by_tag["TZN"][0]["TreatmentZoneCode"] == "0"
    assert told(ledger) == [
        ("changed", f"{tag}0", f"identifier {tag}0 becomes {tag}1") for tag in ("CTR", "FRM", "PDT", "PFD", "TSK")
    ]


def test_kinds_of_products_and_identifiers_of_places_are_not_added() -> None:
    """R-266: D.42, D.44. R-268: D.33, D.38, D.39."""
    polygon = f'<PLN A="1">{square(54, 7, closed=True)}</PLN>'
    fence = '<LSG A="7"><PNT A="2" C="54" D="7"/><PNT A="2" C="54" D="7.1"/></LSG>'
    body = '<PGP A="PGP1" B="Dünger"/><PDT A="PDT1" B="Kalk" C="PGP1"/>' + FIELD.format(
        polygon + fence + '<PNT A="1" B="Tor" C="54" D="7"/>'
    )
    after, ledger = raised(body)
    assert after.by_tag["PGP"][0].attributes == {"A": "PGP1", "B": "Dünger"}
    assert after.by_tag["PDT"][0].attributes == {"A": "PDT1", "B": "Kalk", "C": "PGP1"}
    assert sorted(after.by_id) == ["PDT1", "PFD1", "PGP1"]
    assert ledger == []


def test_places_gain_no_identifiers() -> None:
    """R-268: D.33, D.38, D.39."""
    after, _ = raised(FIELD.format(f'<PLN A="1">{square(54, 7)}{square(54.1, 7)}</PLN>'))
    assert list(after.by_id) == ["PFD1"]


def test_guidance_lines_become_patterns_where_they_lead_somewhere() -> None:
    """R-267: D.30, D.33."""
    ends = '<PNT A="2" C="54" D="7"/><PNT A="2" C="54.01" D="7"/>'
    curve = '<PNT A="2" C="54" D="7"/><PNT A="2" C="54.005" D="7.001"/><PNT A="2" C="54.01" D="7"/>'
    lines = f'<LSG A="5" B="AB" C="6000">{ends}</LSG><LSG A="5" B="Bogen">{curve}</LSG>'
    spot = '<LSG A="5" B="Punkt" C="6000"><PNT A="2" C="54" D="7"/></LSG>'
    after, ledger = raised(FIELD.format(lines + spot))
    assert [item.attributes for item in after.by_tag["GPN"]] == [
        {"A": "GPN1", "B": "AB", "C": "1"},
        {"A": "GPN2", "B": "Bogen", "C": "3"},
    ]
    children = [item for item in after.by_tag["PFD"][0].children if isinstance(item, Element)]
    assert [item.tag for item in children] == ["GGP", "LSG"]
    assert told(ledger) == [
        ("changed", "GPN2", "guidance pattern 'Bogen' has no swath width"),
        ("changed", "PFD1", "2 lines of type 5 become the guidance group GGP1"),
    ]

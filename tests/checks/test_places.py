"""Findings in binary files carry the record and the octet, findings of shapes the place on Earth."""

from __future__ import annotations

import struct
from pathlib import Path

from taskdata import api
from taskdata.findings import Place

RULES = Path(__file__).parents[1] / "rules"
# Time of day, date, north, east, status, number of values; then position and value each: 8.6.3 of ISO 11783-10.
HEAD = struct.calcsize("<IHiiBB")
PAIR = struct.calcsize("<Bi")


def place(rule: str, case: str = "bad") -> Place:
    (found,) = [item for item in api.check(RULES / rule / case).findings if item.rule.id == rule]
    return found.place


def test_a_record_of_a_log_is_found_at_its_octet() -> None:
    # The records before hold one value each.
    found = place("timelog.repeated-value")
    assert (found.record, found.offset) == (2, 2 * (HEAD + PAIR))
    # The records before hold two values each.
    found = place("timelog.reserved-status")
    assert (found.record, found.offset, found.location) == (2, 2 * (HEAD + 2 * PAIR), (7.00002, 54.30002))


def test_a_position_that_is_not_on_earth_has_no_place_on_it() -> None:
    found = place("timelog.position-out-of-range")
    assert (found.record, found.location) == (2, None)


def test_a_stored_point_is_found_at_the_octet_of_its_field() -> None:
    found = place("points.out-of-range")
    assert (found.file, found.record, found.offset) == ("PNT00001.BIN", 2, 2 * struct.calcsize("<qq"))
    found = place("points.out-of-range", "bad-accuracy")
    assert (found.record, found.offset) == (1, struct.calcsize("<qqH") + struct.calcsize("<qq"))


def test_shapes_are_found_where_they_are_wrong() -> None:
    assert place("geometry.self-crossing").location == (7.0005, 54.3005)
    assert place("geometry.hole-in-hole").location == (7.0003, 54.3003)
    found = place("geometry.self-crossing", "bad-antimeridian").location
    assert found is not None
    assert abs(found[0]) == 180.0
    assert round(found[1], 9) == -16.9995

"""Layers come to WGS 84 by an operation that is named, never by another one in silence; own ones never ask for one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from taskdata.findings import Severity
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import read
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind, Point, PointKind
from taskdata.reports.words import message
from tests.formats.exchange import put
from tests.formats.raw_layers import geojson
from tests.formats.valley import carried

SQUARE = np.array([[10.0, 54.0], [10.01, 54.0], [10.01, 54.01]])


def in_system(folder: Path, code: int, *positions: tuple[float, ...]) -> PlacedLayers:
    path = geojson(folder / "marks.geojson", *({"type": "Point", "coordinates": position} for position in positions))
    crs = {"type": "name", "properties": {"name": f"urn:ogc:def:crs:EPSG::{code}"}}
    path.write_text(json.dumps(json.loads(path.read_text()) | {"crs": crs}))
    return read(path)


def told(source: PlacedLayers) -> list[tuple[Severity, str]]:
    findings = [finding for finding in source.findings if finding.rule.id != "import.crs-member"]
    return [(finding.severity, message(finding)) for finding in findings]


def test_rows_outside_the_area_of_use_are_told_with_the_operation(tmp_path: Path) -> None:
    """EPSG:28992 (RD New) is for the Netherlands, 3.20 to 7.22 E and 50.75 to 53.70 N (EPSG registry)."""
    source = in_system(tmp_path, 28992, (150_000.0, 460_000.0), (600_000.0, 460_000.0), (650_000.0, 460_000.0))
    ((severity, text),) = told(source)
    assert severity is Severity.WARNING
    assert text.startswith("2 rows of marks.geojson lie outside the area of use of Amersfoort / RD New (Netherlands")
    assert text.endswith(
        "such as row 2; transformed to WGS 84 by Inverse of RD New + Amersfoort to WGS 84 (4) (accuracy 1 m) "
        "nevertheless."
    )
    (datum,) = source.datum
    assert (datum.operation, datum.accuracy_m) == ("Inverse of RD New + Amersfoort to WGS 84 (4)", 1.0)


def test_no_operation_without_a_change_of_datum_is_used_in_silence(tmp_path: Path) -> None:
    """EPSG:31467 is for Germany; at 36 N PROJ alone would leave the change of datum out, some 100 m."""
    source = in_system(tmp_path, 31467, (3_500_000.0, 4_000_000.0))
    found = told(source)
    assert len(found) == 2
    assert all("DHDN to WGS 84 (2)" in text for _, text in found)
    (point,) = plain(source).points
    assert abs(point.lat - 36.1338815) * 111_000.0 > 40.0


def test_the_edge_of_a_zone_is_a_note(tmp_path: Path) -> None:
    """EPSG:25832 is for 6 to 12 E; a farm across the edge is kept in one zone (common practice)."""
    ((severity, text),) = told(in_system(tmp_path, 25832, (700_000.0, 5_800_000.0), (716_000.0, 5_800_000.0)))
    assert severity is Severity.NOTE
    assert "such as row 2" in text


def test_an_unknown_accuracy_is_told(tmp_path: Path) -> None:
    """EPSG:6783, a local system of Oregon, has no registered way to WGS 84 but one without a change of datum."""
    source = in_system(tmp_path, 6783, (100_000.0, 130_000.0))
    assert any(text.endswith("whose accuracy is unknown.") for _, text in told(source))


def test_a_position_without_a_place_is_told_as_such(tmp_path: Path) -> None:
    source = in_system(tmp_path, 25832, (500_000.0, 5_800_000.0), (1e30, 5_800_000.0))
    ((_, text),) = told(source)
    assert text == (
        "The geometry of row 2 of marks.geojson cannot be used: ETRS89 / UTM zone 32N cannot be transformed to WGS 84 "
        "at one of its positions. It is left out."
    )
    assert len(plain(source).points) == 1


def test_heights_in_another_length_are_left_out(tmp_path: Path) -> None:
    """EPSG:2263 is in US survey feet and says nothing of heights."""
    source = in_system(tmp_path, 2263, (1_000_000.0, 200_000.0, 30.0))
    text = next(text for _, text in told(source) if text.startswith("Heights"))
    assert text.startswith("Heights of marks.geojson are left out: its coordinates are in US survey foot")
    assert plain(source).points[0].up_m is None


def test_stated_heights_come_in_metres(tmp_path: Path) -> None:
    """EPSG:8718 has heights in US survey feet, 1200/3937 m each (NIST SP 811)."""
    data = plain(in_system(tmp_path, 8718, (-74.0, 40.7, 3937.0)))
    assert data.points[0].up_m == pytest.approx(1200.0, rel=1e-12)
    assert "though it states gravity-related height." in message(data.findings[-1])


STRAY: list[Any] = [
    Point(PointKind.OTHER, 10.0, 95.0, key=1),
    Point(PointKind.OTHER, 400.0, 54.0, key=1),
    Point(PointKind.OTHER, 565_000.0, 5_984_000.0, key=1),
    Area(AreaKind.BOUNDARY, (SQUARE * 1000.0,), key=1),
]


@pytest.mark.parametrize("record", STRAY, ids=["latitude", "longitude", "metres", "area"])
@pytest.mark.parametrize("crs", [None, "EPSG:25832", "EPSG:4314"])
def test_own_geojson_never_asks_for_a_system(record: Any, crs: str | None, tmp_path: Path) -> None:
    """RFC 7946 section 4: it is in WGS 84; a fault in a position is one of the set, and comes back with it."""
    is_point = isinstance(record, Point)
    parts = {"points": (record,)} if is_point else {"boundaries": (record,)}
    base = Dataset("TASKDATA", "isoxml", fields=(Field("PFD1", "Kuhle", key=0, **parts),))
    path, _ = put(base, "geojson", tmp_path, carried())
    source = read(path, options=TakeOptions(crs=crs))
    assert source.moved == frozenset()
    assert merge(base, source) == (base, [])
    for file in path.glob("carried_*"):
        file.unlink()
    data = plain(read(path, options=TakeOptions(crs=crs)))
    assert [field.name for field in data.fields] == ["Kuhle"]
    assert data.fields[0].boundaries == ()
    rules = {finding.rule.id for finding in data.findings}
    assert "import.value-left-out" in rules


def test_metres_of_others_still_ask(tmp_path: Path) -> None:
    path = geojson(tmp_path / "plots.geojson", {"type": "Point", "coordinates": [565_000.0, 5_984_000.0]})
    with pytest.raises(Exception, match='crs="EPSG:'):
        read(path)

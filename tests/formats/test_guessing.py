"""A system is guessed from where it brings a layer; places are made by pyproj, or are those of published examples."""

from __future__ import annotations

import math
import re
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from pyproj import Transformer

from taskdata.formats.base import RawTable
from taskdata.formats.placing.candidates import NEAR_M
from taskdata.formats.placing.doubts import doubt_of
from taskdata.formats.placing.ground import Ground, gap_m
from taskdata.formats.placing.guessing import guess_of
from taskdata.formats.placing.open_sea import is_open_sea
from taskdata.formats.placing.sampling import sample_of
from taskdata.geometry.transform import to_wgs84

US_FOOT = 1200 / 3937  # NIST SP 811
ACRE = 4046.8564224  # NIST SP 811
NORTH = Ground("fields.shp", 9.98, 53.98, 10.05, 54.02)
IOWA = Ground("fields.shp", -93.05, 42.0, -93.0, 42.05)
SIDE = 0.003


def square_area(lon: float, lat: float) -> float:
    """Return the area of one of the squares in m², by geographiclib."""
    polygon = Geodesic.WGS84.Polygon()
    for east, north in ((0, 0), (SIDE, 0), (SIDE, SIDE), (0, SIDE)):
        polygon.AddPoint(lat + north, lon + east)
    return float(abs(polygon.Compute()[2]))


def layer(
    code: int,
    lon: float,
    lat: float,
    *,
    swapped: bool = False,
    scale: float = 1.0,
    crs: str | None = None,
    **columns: Any,
) -> RawTable:
    """Return five squares at a place, in a system by pyproj."""
    transformer = Transformer.from_crs(4326, code, always_xy=True)

    def placed(points: Any) -> Any:
        moved = np.column_stack(transformer.transform(points[:, 0], points[:, 1])) * scale
        return moved[:, ::-1] if swapped else moved

    squares = [shapely.box(lon + 2 * k * SIDE, lat, lon + (2 * k + 1) * SIDE, lat + SIDE) for k in range(5)]
    geometry = [shapely.to_wkb(shapely.transform(square, placed)) for square in squares]
    return RawTable("lines", "lines.shp", pa.table({**columns, "geometry": geometry}), crs=crs)


def reasons(raw: RawTable, *others: Ground) -> str:
    guess = guess_of(raw, others)
    assert guess is not None
    return "; ".join(guess.reasons)


GUESSED = {
    "WGS 84, no neighbour states a datum": (32632, NORTH, "EPSG:32632"),
    "the datum that a neighbour states": (25832, NORTH._replace(system="EPSG:4258"), "EPSG:25832"),
    "the zone beside that of the neighbour": (25833, NORTH._replace(system="EPSG:25832"), "EPSG:25833"),
    "the zone before it": (32631, NORTH, "EPSG:32631"),
    "US survey feet": (3417, IOWA, "EPSG:3417"),
    "metres of the same zone": (26975, IOWA, "EPSG:26975"),
    "a realization that a neighbour states": (6344, IOWA._replace(system="EPSG:6463"), "EPSG:6344"),
    "NAD83 of a neighbour": (26915, IOWA._replace(system="EPSG:4269"), "EPSG:26915"),
    "GDA2020": (7855, Ground("plots", 145.5, -36.0, 145.6, -35.9, "EPSG:7844"), "EPSG:7855"),
    "a zone with a prefix to its easting": (4647, NORTH, "EPSG:4647"),
    "international feet, beyond the zone": (2252, Ground("fields", -84.5, 43.5, -84.4, 43.6), "EPSG:2252"),
    "a zone of the southern half, at 180 degrees": (32760, Ground("f", 179.5, -17.5, 179.9, -17.4), "EPSG:32760"),
    "a conformal projection before one for statistics": (32198, Ground("f", -72.0, 46.5, -71.9, 46.6), "EPSG:32198"),
    "web maps": (3857, NORTH, "EPSG:3857"),
    "a national system": (2154, Ground("parcels", 2.5, 47.2, 2.6, 47.3), "EPSG:2154"),
}


@pytest.mark.parametrize("case", GUESSED)
def test_the_system_that_brings_it_to_the_other_data(case: str) -> None:
    code, other, expected = GUESSED[case]
    raw = layer(code, other.west + 0.01, other.south + 0.01)
    guess = guess_of(raw, [other])
    assert guess is not None
    assert guess.crs == expected
    sample = sample_of(raw)
    assert sample is not None
    west, south = to_wgs84(guess.crs).forward(sample.xy).min(axis=0).tolist()
    assert Geodesic.WGS84.Inverse(south, west, other.south + 0.01, other.west + 0.01)["s12"] < 0.01


@pytest.mark.parametrize("case", GUESSED)
def test_nothing_is_guessed_without_other_data_near(case: str) -> None:
    code, other, _ = GUESSED[case]
    raw = layer(code, other.west + 0.01, other.south + 0.01)
    assert guess_of(raw, []) is None
    away = other._replace(west=other.west - 1.0, east=other.east - 1.0)
    assert guess_of(raw, [away]) is None


def test_the_worked_example_in_us_survey_feet() -> None:
    """IOGP Guidance Note 7-2, EPSG method 9802: NAD27 / Texas South Central (EPSG:32040), 28 30 N 96 W."""
    point = [shapely.to_wkb(shapely.Point(2963503.91, 254759.80))]
    raw = RawTable("well", "well.shp", pa.table({"geometry": point}))
    guess = guess_of(raw, [Ground("fields", -96.01, 28.49, -95.99, 28.51)])
    assert guess is not None
    assert guess.crs == "EPSG:32040"
    assert "US survey feet" in guess.reasons[0]


def test_the_worked_example_of_the_british_grid() -> None:
    """IOGP Guidance Note 7-2, EPSG method 9807: 50 30 N 0 30 E is E 577274.99, N 69740.50 in EPSG:27700."""
    point = [shapely.to_wkb(shapely.Point(577274.99, 69740.50))]
    guess = guess_of(
        RawTable("mast", "mast.csv", pa.table({"geometry": point})), [Ground("fields", 0.4, 50.4, 0.6, 50.6)]
    )
    assert guess is not None
    assert guess.crs == "EPSG:27700"


def test_reasons_name_the_zones_beside_and_the_twins() -> None:
    """The zone beside is six degrees of longitude away, which geographiclib measures."""
    text = reasons(layer(32632, 10.0, 54.0), NORTH)
    told = re.search(r"zone 31 (\d+) km and zone 33 (\d+) km", text)
    assert told is not None
    away = Geodesic.WGS84.Inverse(54.0, 10.0, 54.0, 16.0)["s12"] / 1000
    assert [float(told[1]), float(told[2])] == pytest.approx([away, away], abs=5.0)  # the boxes are some 5 km wide
    assert "EPSG:25832 (ETRS89 / UTM zone 32N)" in text
    assert "at the same place" in text
    assert "EPSG:23032 (ED50 / UTM zone 32N), 2" in text  # some 200 m off (EPSG registry, ED50 to WGS 84)
    assert f"up to {NEAR_M / 1000:.0f} km" in text


def test_the_other_foot_is_named_with_what_it_would_move() -> None:
    """The two feet differ by two parts in a million (NIST SP 811)."""
    x, y = Transformer.from_crs(4326, 3417, always_xy=True).transform(-93.03, 42.01)
    moved = math.hypot(x, y) * US_FOOT * 2e-6
    assert f"in international feet (2 parts in a million apart) it would lie {moved:.1f} m away" in reasons(
        layer(3417, -93.03, 42.01), IOWA
    )


def test_north_before_east_is_tried_where_nothing_else_fits() -> None:
    guess = guess_of(layer(32632, 10.0, 54.0, swapped=True), [NORTH])
    assert guess is not None
    assert guess.crs == "swapped:EPSG:32632"


def test_feet_of_a_zone_that_no_registry_lists() -> None:
    guess = guess_of(layer(32615, -93.03, 42.01, scale=1 / US_FOOT), [IOWA])
    assert guess is not None
    assert guess.crs == "+proj=utm +zone=15 +datum=WGS84 +units=us-ft +type=crs"


def test_areas_that_disagree_speak_against_a_guess() -> None:
    area = square_area(10.0, 54.0)
    assert "its areas agree with the ha of its column AR_HA" in reasons(
        layer(32632, 10.0, 54.0, AR_HA=[round(area / 1e4, 2)] * 5), NORTH
    )
    assert "against it: its areas do not agree with its column AR_HA" in reasons(
        layer(32632, 10.0, 54.0, AR_HA=[round(area / 1e3, 2)] * 5), NORTH
    )


STATED = {
    "feet that state metres": (layer(3417, -93.03, 42.01, crs="EPSG:26975"), (), "EPSG:3417"),
    "feet that state metres, beside a layer": (layer(3417, -93.03, 42.01, crs="EPSG:26975"), (IOWA,), "EPSG:3417"),
    "metres that state feet": (layer(26975, -93.03, 42.01, crs="EPSG:3417"), (IOWA,), "EPSG:26975"),
    "degrees that state a zone": (layer(4326, 10.0, 54.0, crs="EPSG:32632"), (), "EPSG:4326"),
    "metres that state degrees": (layer(32632, 10.0, 54.0, crs="EPSG:4326"), (NORTH,), "EPSG:32632"),
    "the zone beside": (layer(25832, 10.0, 54.0, crs="EPSG:25833"), (NORTH,), "EPSG:25832"),
}


@pytest.mark.parametrize("case", STATED)
def test_a_stated_system_that_is_implausible_has_a_guess(case: str) -> None:
    raw, others, expected = STATED[case]
    guess = guess_of(raw, others)
    assert guess is not None
    assert guess.crs == expected


def test_areas_alone_tell_feet_where_both_would_lie_in_the_area_of_use() -> None:
    """Numbers of UTM zone 15 in feet are a place in the zone too; ten times the area is not."""
    stated = {"ACRES": [round(square_area(-93.03, 42.01) / ACRE, 2)] * 5}
    raw = layer(32615, -93.03, 42.01, scale=1 / US_FOOT, crs="EPSG:32615", **stated)
    guess = guess_of(raw, [])
    assert guess is not None
    assert "US survey feet its areas agree with the acres of its column ACRES" in guess.reasons[0] + guess.reasons[-2]
    assert guess_of(layer(32615, -93.03, 42.01, crs="EPSG:32615", **stated), []) is None


def test_areas_that_agree_in_neither_length_are_told_with_the_guess() -> None:
    """Where it lies tells the length all the same; areas may be those of another year."""
    text = reasons(layer(3417, -93.03, 42.01, crs="EPSG:26975", ACRES=[99.0] * 5))
    assert text.startswith("in US survey feet it lies in the area of use of NAD83 / Iowa North, otherwise outside")
    assert "against it: in US survey feet its areas do not agree with its column ACRES either" in text


@pytest.mark.parametrize(
    ("code", "others"),
    [
        (25832, ()),
        (25832, (NORTH,)),
        (25832, (NORTH._replace(west=7.0, east=7.1),)),
        (4326, ()),
        (4326, (NORTH,)),
    ],
)
def test_a_plausible_system_is_left_alone(code: int, others: tuple[Ground, ...]) -> None:
    assert guess_of(layer(code, 10.0, 54.0, crs=f"EPSG:{code}"), others) is None


def test_of_two_layers_that_disagree_none_is_surely_wrong() -> None:
    raw = layer(25832, 10.0, 54.0, crs="EPSG:25833")
    sample = sample_of(raw)
    assert sample is not None
    stated = NORTH._replace(system="EPSG:25832")
    alone = doubt_of(sample, [stated])
    assert alone is not None
    assert (alone.guess is not None, alone.is_sure) == (True, False)
    agreed = doubt_of(sample, [stated, stated._replace(name="points.shp")])
    assert agreed is not None
    assert agreed.is_sure


class TestSwappedDegrees:
    def test_beyond_the_pole_it_is_certain(self) -> None:
        guess = guess_of(layer(4326, 145.0, -36.0, swapped=True), [])
        assert guess is not None
        assert (guess.crs, guess.reasons) == ("swapped:EPSG:4326", ("its coordinates are degrees with latitude first",))

    def test_by_the_other_data(self) -> None:
        text = reasons(layer(4326, 10.0, 54.0, swapped=True), NORTH)
        assert text.startswith("with longitude first it lies 6,2")
        assert "with latitude first on the ground of fields.shp" in text

    def test_by_the_open_sea(self) -> None:
        """10 N 54 E is in the Arabian Sea, south of Socotra; 54 N 10 E is in Germany."""
        assert "open sea" in reasons(layer(4326, 10.0, 54.0, swapped=True))

    def test_by_areas_where_both_are_on_land(self) -> None:
        """A degree of longitude is cos 50 / cos 10 as long: 10 N 50 E is Somalia, 50 N 10 E Germany."""
        stated = {"Area_ha": [round(square_area(10.0, 50.0) / 1e4, 2)] * 5}
        assert "column Area_ha" in reasons(layer(4326, 10.0, 50.0, swapped=True, **stated))
        assert guess_of(layer(4326, 10.0, 50.0, **stated), []) is None

    def test_where_nothing_tells_they_stay(self) -> None:
        assert guess_of(layer(4326, 10.0, 50.0, swapped=True), []) is None
        assert guess_of(layer(4326, 11.0, 48.0), [NORTH]) is None

    def test_a_stated_system_keeps_its_name(self) -> None:
        guess = guess_of(layer(4258, 10.0, 54.0, swapped=True, crs="EPSG:4258"), [NORTH])
        assert guess is not None
        assert guess.crs == "swapped:EPSG:4258"


def test_open_sea_is_far_from_land() -> None:
    """Known places: farmland of every continent and of islands, and the middle of the oceans."""
    land = [(10.0, 54.0), (-93.0, 42.0), (145.0, -36.0), (-25.5, 37.8), (57.5, -20.3), (-159.5, 22.0), (170.5, -45.0)]
    land += [(-61.0, -33.0), (28.0, -26.0), (77.0, 28.0), (139.0, 36.0), (-21.0, 64.0), (33.0, 35.0), (15.0, 69.0)]
    assert not any(is_open_sea(lon, lat) for lon, lat in land)
    sea = [(-30.0, 45.0), (-140.0, 30.0), (80.0, -10.0), (54.0, 10.0), (-179.0, 30.0), (179.0, 30.0), (-20.0, -30.0)]
    assert all(is_open_sea(lon, lat) for lon, lat in sea)
    assert not is_open_sea(math.nan, 10.0)
    assert is_open_sea(190.0, 30.0) == is_open_sea(-170.0, 30.0)


def test_gaps_between_boxes() -> None:
    """Measured by geographiclib between the nearest sides; across 180 degrees too."""
    west = Ground("a", 9.0, 50.0, 10.0, 51.0)
    east = Ground("b", 11.0, 50.5, 12.0, 52.0)
    assert gap_m(west, east) == pytest.approx(Geodesic.WGS84.Inverse(50.5, 10.0, 50.5, 11.0)["s12"], rel=1e-9)
    assert gap_m(west, west._replace(west=9.5)) == 0.0
    one, other = Ground("a", 179.0, 0.0, 179.9, 1.0), Ground("b", -179.9, 0.0, -179.0, 1.0)
    assert gap_m(one, other) == pytest.approx(Geodesic.WGS84.Inverse(0.0, 179.9, 0.0, -179.9)["s12"], rel=1e-9)


def test_a_few_rows_astray_do_not_move_the_guess() -> None:
    raw = layer(32632, 10.0, 54.0)
    astray = [shapely.to_wkb(shapely.Point(0, 0))]
    geometry = [*raw.table["geometry"].to_pylist() * 4, *astray]
    guess = guess_of(RawTable("lines", "lines.shp", pa.table({"geometry": geometry})), [NORTH])
    assert guess is not None
    assert guess.crs == "EPSG:32632"


def test_a_layer_without_a_shape_has_no_guess() -> None:
    empty = pa.table({"geometry": pa.array([None], pa.binary())})
    assert guess_of(RawTable("lines", "lines.shp", empty), [NORTH]) is None
    assert guess_of(RawTable("lines", "lines.shp", pa.table({"a": [1]})), [NORTH]) is None

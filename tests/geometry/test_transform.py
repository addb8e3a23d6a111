"""Reference systems against the IOGP worked example, geographiclib's meridian lengths and NIST SP 811."""

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from taskdata.errors import SourceError, UsageError
from taskdata.geometry.transform import to_wgs84

UTM32_ESRI = (
    'PROJCS["WGS_1984_UTM_Zone_32N",GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,'
    '298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],'
    'PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",9.0],'
    'PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]'
)
WGS84_ESRI = (
    'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],'
    'PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]'
)


def metres_apart(one, other):
    return Geodesic.WGS84.Inverse(one[1], one[0], other[1], other[0])["s12"]


def test_british_national_grid_of_the_iogp_worked_example():
    # IOGP Guidance Note 7-2, EPSG method 9807: 50°30'00"N 0°30'00"E is E 577274.99, N 69740.50 (1 cm)
    grid = (
        "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 "
        "+a=6377563.396 +rf=299.32496 +units=m +no_defs +type=crs"
    )
    conversion = to_wgs84(grid)
    assert metres_apart(conversion.forward([(577274.99, 69740.50)])[0], (0.5, 50.5)) < 0.01
    assert conversion.accuracy_m is None  # no datum is named, so the change of datum is left out
    assert "Ballpark" in conversion.operation


@pytest.mark.parametrize(
    "text", ["EPSG:32632", UTM32_ESRI, "\ufeff" + UTM32_ESRI + "\n", "+proj=utm +zone=32 +datum=WGS84"]
)
def test_utm_on_its_central_meridian(text):
    # 0.9996 times the length of the meridian from the equator (definition of UTM), the length from geographiclib
    north = 0.9996 * metres_apart((9, 0), (9, 52.5))
    conversion = to_wgs84(text)
    assert conversion.forward([(500000, north)])[0] == pytest.approx([9, 52.5], abs=1e-9)
    assert (conversion.accuracy_m, conversion.is_projected, conversion.unit) == (0.0, True, "metre")


def test_us_survey_feet():
    # 1 US survey foot = 1200/3937 m (NIST SP 811); both systems are the same zone in feet and in metres
    feet, metres = to_wgs84("EPSG:2263"), to_wgs84("EPSG:32118")
    place = np.array([[300000.0, 60000.0]])
    assert feet.forward(place * 3937 / 1200) == pytest.approx(metres.forward(place), abs=1e-10)
    assert feet.unit == "US survey foot"


@pytest.mark.parametrize("text", ["EPSG:4326", "OGC:CRS84", WGS84_ESRI, " epsg:4326 "])
def test_wgs_84_itself_is_left_alone(text):
    conversion = to_wgs84(text)
    points = np.array([(9.123456789012345, 52.1), (-179.99, -1)])
    assert np.array_equal(conversion.forward(points), points)
    assert (conversion.operation, conversion.accuracy_m) == ("identity", 0.0)
    assert (conversion.better_missing, conversion.missing_count, conversion.is_projected) == ((), 0, False)


def test_longitude_comes_first_whatever_the_axis_order():
    # EPSG:4258 has latitude first, EPSG:31467 northing first
    assert to_wgs84("EPSG:4258").forward([(9, 52)])[0] == pytest.approx([9, 52], abs=1e-6)
    lon, lat = to_wgs84("EPSG:31467").forward([(3500000, 5763000)])[0]
    assert lon == pytest.approx(9, abs=0.01)
    assert lat == pytest.approx(52, abs=0.01)


def test_other_meridians_and_angles():
    # NTF (Paris) counts grads from the Paris meridian, 2°20'14.025" E of Greenwich (EPSG prime meridian 8903)
    conversion = to_wgs84("EPSG:4807")
    assert conversion.forward([(0, 52)])[0] == pytest.approx([2.33722917, 46.8], abs=0.002)
    assert conversion.unit == "grad"


def test_a_missing_grid_is_named():
    conversion = to_wgs84("EPSG:27700")
    assert conversion.accuracy_m == 2
    assert any("OSTN15" in name for name in conversion.better_missing)
    assert conversion.missing_count >= 1


def test_a_null_shift_states_its_accuracy_and_what_is_missing():
    conversion = to_wgs84("EPSG:4269")
    assert conversion.accuracy_m == 4
    assert conversion.missing_count > 10
    assert len(conversion.better_missing) > 10


def test_ballpark_has_no_accuracy():
    assert to_wgs84("EPSG:6783").accuracy_m is None


def test_sample_chooses_the_operation_of_its_area():
    everywhere = to_wgs84("EPSG:5514")
    assert everywhere.accuracy_m == 6
    assert to_wgs84("EPSG:5514", sample=[(-600000, -1100000), (-599000, -1100500)]).accuracy_m == 1
    assert to_wgs84("EPSG:5514", sample=[(np.nan, np.nan)]) == everywhere


def test_no_answer_is_nan():
    conversion = to_wgs84("EPSG:25832")
    moved = conversion.forward([(np.nan, 1), (np.inf, 5), (500000, 5800000)])
    assert np.isnan(moved[:2]).all()
    assert np.isfinite(moved[2]).all()
    assert conversion.forward([]).shape == (0, 2)


def test_longitudes_come_back_within_180():
    lon = to_wgs84("EPSG:32760").forward([(300000, 8000000), (780000, 8000000)])[:, 0]
    assert (np.abs(lon) <= 180).all()


@pytest.mark.parametrize(
    "text",
    [
        "EPSG:1",
        "",
        "no such thing",
        'LOCAL_CS["yard",UNIT["metre",1]]',
        "EPSG:5773",
        "EPSG:4978",
        UTM32_ESRI.replace("Transverse_Mercator", "Nowhere"),
    ],
)
def test_texts_that_place_nothing(text):
    with pytest.raises(UsageError, match="EPSG:25832"):
        to_wgs84(text)
    with pytest.raises(SourceError, match=r"^fields\.prj: .*EPSG:25832"):
        to_wgs84(text, where="fields.prj")


def helmert(seven, lon, lat, a, inverse_flattening):
    """EPSG method 9606, seven parameters, of points on the ellipsoid (IOGP Guidance Note 7-2, section 4.3.3)."""
    lat_r, lon_r = np.radians(lat), np.radians(lon)
    f = 1.0 / inverse_flattening
    e2 = f * (2.0 - f)
    radius = a / np.sqrt(1.0 - e2 * np.sin(lat_r) ** 2)
    x = np.array([radius * np.cos(lat_r) * np.cos(lon_r), radius * np.cos(lat_r) * np.sin(lon_r)])
    xyz = np.array([*x, radius * (1.0 - e2) * np.sin(lat_r)])
    shift, turn = np.array(seven[:3]), np.radians(np.array(seven[3:6]) / 3600.0)
    rotation = np.array([[1.0, -turn[2], turn[1]], [turn[2], 1.0, -turn[0]], [-turn[1], turn[0], 1.0]])
    x, y, z = shift + (1.0 + seven[6] * 1e-6) * rotation @ xyz
    wgs_f = 1.0 / 298.257223563
    e2 = wgs_f * (2.0 - wgs_f)
    flat, found = np.hypot(x, y), np.arctan2(z, np.hypot(x, y) * (1.0 - e2))
    for _ in range(6):
        radius = 6378137.0 / np.sqrt(1.0 - e2 * np.sin(found) ** 2)
        found = np.arctan2(z + e2 * radius * np.sin(found), flat)
    return np.degrees(np.arctan2(y, x)), np.degrees(found)


def test_outside_its_area_a_system_keeps_its_change_of_datum():
    """EPSG:4314 to WGS 84 (2) is EPSG:1777: seven parameters (EPSG registry). At 30 E 20 N none is made for."""
    conversion = to_wgs84("EPSG:4314", sample=[(30.0, 20.0)])
    assert conversion.operation == "DHDN to WGS 84 (2)"
    assert conversion.accuracy_m == 3.0
    seven = (598.1, 73.7, 418.2, 0.202, 0.045, -2.455, 6.7)
    expected = helmert(seven, 30.0, 20.0, 6377397.155, 299.1528128)
    assert conversion.forward([(30.0, 20.0)])[0] == pytest.approx(expected, abs=1e-9)
    assert conversion.use is not None
    assert conversion.use.beyond([(10.0, 50.0)]).tolist() == [0.0]
    assert conversion.use.beyond([(30.0, 20.0)])[0] == pytest.approx(47.27 - 20.0)


def test_points_in_the_area_decide_over_those_astray():
    """EPSG:28992 has one operation of 1 m for the Netherlands; two of three points lie there."""
    conversion = to_wgs84("EPSG:28992", sample=[(150000.0, 460000.0), (155000.0, 463000.0), (9e6, 9e6)])
    assert conversion.accuracy_m == 1.0


def test_an_area_of_use_may_cross_the_antimeridian():
    """EPSG:4269 (NAD83) is used from 167.65 E eastwards to 40.73 W (EPSG registry)."""
    use = to_wgs84("EPSG:4269").use
    assert use is not None
    assert use.beyond([(170.0, 50.0), (-170.0, 50.0), (-100.0, 50.0)]).tolist() == [0.0, 0.0, 0.0]
    assert use.beyond([(10.0, 50.0)])[0] == pytest.approx(50.73)


def test_a_prj_without_codes_has_the_area_of_the_system_that_it_is():
    use = to_wgs84(UTM32_ESRI).use
    assert use is not None
    assert (use.west, use.east) == (6.0, 12.0)


@pytest.mark.parametrize(
    ("text", "name", "metres"),
    [
        ("EPSG:4979", "Ellipsoidal height", 1.0),
        ("EPSG:5555", "Gravity-related height", 1.0),
        ("EPSG:6349", "Gravity-related height", 1.0),
        ("EPSG:8718", "Gravity-related height", 1200 / 3937),
    ],
)
def test_heights_have_their_name_and_unit(text, name, metres):
    """EPSG registry: 8718 is NAD83 with NAVD88 height in US survey feet; NIST SP 811 gives their length."""
    heights = to_wgs84(text).heights
    assert heights is not None
    assert heights.name == name
    assert heights.metres == pytest.approx(metres, rel=1e-12)
    assert to_wgs84("EPSG:32632").heights is None

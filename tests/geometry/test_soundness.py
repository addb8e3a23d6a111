"""Parts without a shape are taken out and named; the rest stays to the last bit."""

import math

import numpy as np
import pytest
import shapely

from taskdata.geometry.soundness import sound, suspects

SQUARE = [(7.0, 54.3), (7.1, 54.3), (7.1, 54.4), (7.0, 54.4), (7.0, 54.3)]
HOLE = [(7.02, 54.32), (7.04, 54.32), (7.04, 54.34), (7.02, 54.32)]
FLAT = [(7.05, 54.35), (7.06, 54.36), (7.07, 54.37), (7.05, 54.35)]
WHOLE = shapely.Polygon(SQUARE, [HOLE])
LINE = shapely.LineString([(7.0, 54.3), (7.1, 54.4)])


def beyond(lon: float, lat: float) -> shapely.LineString:
    with np.errstate(invalid="ignore"):
        return shapely.LineString([(7.0, 54.3), (lon, lat)])


@pytest.mark.parametrize("shape", [WHOLE, LINE, shapely.Point(7.0, 54.3), shapely.MultiPolygon([WHOLE])])
def test_what_has_a_shape_is_the_identical_geometry(shape):
    found = sound(shape)
    assert found.geometry is shape
    assert found.left_out == ()
    assert suspects(np.array([shape], dtype=object)).tolist() == []


@pytest.mark.parametrize(
    ("shape", "why", "place"),
    [
        (beyond(math.nan, 54.3), "a coordinate is not a number", (7.0, 54.3)),
        (beyond(7.0, 90.5), "a latitude is beyond the pole", (7.0, 54.3)),
        (beyond(360.5, 54.3), "a longitude is beyond 360 degrees", (7.0, 54.3)),
        (shapely.Point(7.0, -90.5), "a latitude is beyond the pole", None),
        (beyond(7.0 + 5e-9, 54.3), "all points of the line are one place", (7.0, 54.3)),
        (shapely.Polygon(FLAT), "its outline encloses no area", FLAT[0]),
    ],
)
def test_what_has_none_is_named_with_its_first_place_on_earth(shape, why, place):
    assert sound(shape) == (None, ((why, place),))
    assert suspects(np.array([WHOLE, shape, LINE], dtype=object)).tolist() == [1]


@pytest.mark.parametrize(("lon", "lat"), [(360.0, 54.3), (-360.0, 54.3), (7.0, 90.0), (7.0, -90.0)])
def test_the_ends_of_the_earth_are_on_it(lon, lat):
    assert sound(beyond(lon, lat)).left_out == ()


def test_a_hole_without_an_inside_goes_alone_and_one_of_no_number_with_its_polygon():
    found = sound(shapely.Polygon(SQUARE, [HOLE, FLAT]))
    assert found.geometry.equals_exact(WHOLE, 0.0)
    assert found.left_out == (("a hole encloses no area", FLAT[0]),)
    with np.errstate(invalid="ignore"):
        unknown = shapely.Polygon(SQUARE, [[*HOLE[:2], (math.nan, 54.34), HOLE[0]]])
    assert sound(unknown) == (None, (("a coordinate is not a number", SQUARE[0]),))


def test_the_other_parts_stay_and_keep_their_kind():
    found = sound(shapely.MultiPolygon([WHOLE, shapely.Polygon(FLAT)]))
    assert found.geometry.equals_exact(shapely.MultiPolygon([WHOLE]), 0.0)
    assert found.left_out == (("its outline encloses no area", FLAT[0]),)
    nested = shapely.GeometryCollection([shapely.MultiLineString([LINE, beyond(7.0, 91.0)]), shapely.Polygon()])
    found = sound(nested)
    assert found.geometry.equals_exact(shapely.GeometryCollection([shapely.MultiLineString([LINE])]), 0.0)
    assert found.left_out == (("a latitude is beyond the pole", (7.0, 54.3)), ("it is empty", None))
    assert suspects(np.array([nested], dtype=object)).tolist() == [0]
    assert sound(shapely.MultiPolygon([shapely.Polygon(FLAT)])).geometry is None


def test_nothing_has_no_shape_and_no_fault():
    assert sound(None) == sound(shapely.Polygon()) == (None, ())

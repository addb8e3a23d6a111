"""Steps between neighbouring points against geographiclib, whose geodesics are computed independently of PROJ."""

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.geometry.metres import degree_metres, on_earth, steps

EARTH = Geodesic.WGS84
QUICK = settings(max_examples=80, deadline=None, derandomize=True, database=None)


@QUICK
@given(st.floats(-180, 180) | st.floats(179.999, 180), st.floats(-90, 90), st.floats(0, 360), st.floats(0.1, 10_000))
def test_lengths_anywhere_on_earth(lon, lat, azimuth, metres):
    end = EARTH.Direct(lat, lon, azimuth, metres)
    found = steps(np.array([[lon, lat]]), np.array([[end["lon2"], end["lat2"]]]))[0]
    assert float(np.hypot(*found)) == pytest.approx(metres, rel=1e-5, abs=1e-7)


@QUICK
@given(st.floats(-180, 180), st.floats(-75, 75), st.floats(0, 360), st.floats(1, 1000))
def test_directions(lon, lat, azimuth, metres):
    """Within 1 km, degrees of longitude of the middle turn a step by less than 0.02 degrees."""
    end = EARTH.Direct(lat, lon, azimuth, metres)
    east, north = steps(np.array([[lon, lat]]), np.array([[end["lon2"], end["lat2"]]]))[0]
    turned = (np.degrees(np.arctan2(east, north)) - azimuth + 180.0) % 360.0 - 180.0
    assert abs(turned) < 0.02


def test_off_the_earth_is_no_number():
    before = np.array([(7.0, 54.0), (7.0, 91.0), (181.0, 0.0), (np.nan, 0.0), (0.0, 89.0)])
    found = steps(before, np.array([(7.0, 54.0), (7.0, 89.0), (180.0, 0.0), (0.0, 0.0), (np.inf, 89.0)]))
    assert np.isnan(found).all(axis=1).tolist() == [False, True, True, True, True]
    assert on_earth(before).tolist() == [True, False, False, False, True]


def test_a_degree_at_the_equator_and_at_the_pole():
    """Closed forms with the axes of NIMA TR8350.2: a (1 - e²) at the equator, a / sqrt(1 - e²) at a pole."""
    east, north = degree_metres(np.array([0.0, 90.0]))
    assert east.tolist() == pytest.approx([6378137 * np.pi / 180, 0.0], abs=1e-6)
    assert north.tolist() == pytest.approx([110574.2758, 111693.9799], abs=1e-3)

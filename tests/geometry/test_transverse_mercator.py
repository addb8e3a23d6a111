"""The transverse Mercator projection against PROJ, so that it does not matter which of them a figure comes from."""

from __future__ import annotations

import numpy as np
import pytest
from pyproj import Transformer

from taskdata.geometry import transverse_mercator

ORIGINS = [(9.3, 0.0), (9.3, 45.0), (7.0, 54.2), (180.0, 45.0), (-179.999, -65.0), (0.0, 89.99), (0.0, -90.0)]


def projection(lon: float, lat: float) -> Transformer:
    return Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
        f"+step +proj=tmerc +lat_0={lat!r} +lon_0={lon!r} +k=1 +ellps=WGS84"
    )


@pytest.mark.parametrize("size", [0.01, 1.0, 30.0, 180.0])
@pytest.mark.parametrize(("lon", "lat"), ORIGINS)
def test_both_ways_are_those_of_proj(lon: float, lat: float, size: float) -> None:
    random = np.random.default_rng(2)
    places = np.column_stack([lon + random.uniform(-size, size, 500), lat + random.uniform(-size, size, 500) / 2.0])
    places[:, 1] = np.clip(places[:, 1], -90.0, 90.0)
    expected = np.column_stack(projection(lon, lat).transform(*places.T))
    expected[~np.isfinite(expected).all(axis=1)] = np.nan
    found = transverse_mercator.forward(places, lon, lat)
    assert found == pytest.approx(expected, rel=1e-11, abs=1e-7, nan_ok=True)
    known = expected[np.isfinite(expected).all(axis=1)]
    back = transverse_mercator.inverse(known, lon, lat)
    there = np.column_stack(projection(lon, lat).transform(*known.T, direction="INVERSE"))
    apart = np.radians(np.abs(back - there))
    apart[:, 0] = np.abs(np.sin(apart[:, 0] / 2.0)) * 2.0 * np.cos(np.radians(back[:, 1]))
    assert apart.max() * 6_378_137.0 < 1e-7
    assert np.abs(back[:, 0]).max() <= 180.0


def test_what_is_no_place_on_earth_has_no_answer() -> None:
    bad = np.array([[7.0, 90.5], [np.nan, 54.0], [7.0, np.inf], [97.0, 0.0], [1e6, 54.0]])
    assert np.isnan(transverse_mercator.forward(bad, 7.0, 54.0)).all()
    assert np.isnan(transverse_mercator.inverse(np.array([[1e9, 0.0], [np.nan, 0.0]]), 7.0, 54.0)).all()

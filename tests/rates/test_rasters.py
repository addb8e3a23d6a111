"""GeoTIFF as a rate map, written by rasterio: bands, nodata, masks, systems, and what is refused."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
import shapely
from rasterio.enums import ColorInterp
from rasterio.transform import Affine

import taskdata
from taskdata.errors import SourceError, UsageError
from tests.rates.maps import LAT, LON

PLACE = Affine(0.0002, 0.0, LON, 0.0, -0.0001, LAT)
"""Pixels of about 13 m by 11 m."""


def write(path: Path, bands: Any, **facts: Any) -> Path:
    """Write bands, (n, rows, columns), as a GeoTIFF in WGS 84 where nothing else is said."""
    values = np.asarray(bands)
    shape = {"count": values.shape[0], "height": values.shape[1], "width": values.shape[2], "dtype": values.dtype}
    with rasterio.open(
        path, "w", **{"driver": "GTiff", "crs": "EPSG:4326", "transform": PLACE, **shape, **facts}
    ) as file:
        file.write(values)
    return path


def made(path: Path, folder: Path, **more: Any) -> taskdata.RateMap:
    """Make zones of a raster in kg/ha."""
    return taskdata.ratemap(path, folder / "out", **{"unit": "kg/ha", "dry_run": True, **more})


def rates(found: taskdata.RateMap) -> list[float]:
    return [item.rate for item in found.rates]


ROWS = np.array([[[100, 100, 200, 200]] * 3], dtype=np.float32)


def test_all_of_a_raster_is_its_field(tmp_path: Path) -> None:
    found = made(write(tmp_path / "a.tif", ROWS), tmp_path)
    assert rates(found) == [100.0, 200.0]
    assert found.rates[0].area_m2 == pytest.approx(found.rates[1].area_m2, rel=1e-6)
    assert "4 x 3 pixels" in found.method


def test_nodata_and_nan_are_no_rates(tmp_path: Path) -> None:
    values = ROWS.copy()
    values[0, 0, 0], values[0, 1, 3] = -1.0, np.nan
    whole = made(write(tmp_path / "a.tif", ROWS), tmp_path)
    found = made(write(tmp_path / "b.tif", values, nodata=-1.0), tmp_path)
    assert rates(found) == [100.0, 200.0]
    assert found.bill[0].area_m2 == pytest.approx(whole.bill[0].area_m2 * 10 / 12, rel=1e-6)


def test_a_mask_and_an_alpha_band_are_respected(tmp_path: Path) -> None:
    path = write(tmp_path / "a.tif", ROWS)
    seen = np.full(ROWS.shape[1:], 255, dtype=np.uint8)
    seen[:, :2] = 0
    with rasterio.open(path, "r+") as file:
        file.write_mask(seen)
    assert rates(made(path, tmp_path)) == [200.0]
    other = write(
        tmp_path / "b.tif", np.concatenate([ROWS.astype(np.uint8), seen[None]]), photometric="minisblack", alpha="yes"
    )
    with rasterio.open(other) as file:
        assert file.colorinterp[1] is ColorInterp.alpha
    assert rates(made(other, tmp_path)) == [200.0]


def test_a_band_is_chosen_by_number_or_description(tmp_path: Path) -> None:
    path = write(tmp_path / "a.tif", np.concatenate([ROWS, ROWS * 2]))
    with rasterio.open(path, "r+") as file:
        file.descriptions = ("Kalk", "Kali")
    assert rates(made(path, tmp_path, column="kali")) == rates(made(path, tmp_path, column="2")) == [200.0, 400.0]
    found = made(path, tmp_path, column="Kalk")
    assert any("columns Kali" in loss.what for loss in found.written.losses)
    with pytest.raises(UsageError, match=r"has 2 bands\. Choose one with `column`: 1 \(Kalk\), 2 \(Kali\)"):
        made(path, tmp_path)
    with pytest.raises(UsageError, match=r"has no band Kalf\. Do you mean 1 \(Kalk\)"):
        made(path, tmp_path, column="Kalf")


def test_two_bands_are_two_products(tmp_path: Path) -> None:
    path = write(tmp_path / "a.tif", np.concatenate([ROWS, ROWS * 2]))
    found = made(path, tmp_path, column=["1", "2"], unit=["kg/ha", "L/ha"], product=["Kalk", "Wasser"])
    assert [(line.product, line.unit) for line in found.bill] == [("Kalk", "kg"), ("Wasser", "L")]
    assert found.bill[1].after == pytest.approx(2 * found.bill[0].after, rel=1e-6)


def test_scale_and_offset_are_applied_and_told(tmp_path: Path) -> None:
    path = write(tmp_path / "a.tif", ROWS.astype(np.uint8))
    with rasterio.open(path, "r+") as file:
        file.scales, file.offsets = (2.0,), (10.0,)
    found = made(path, tmp_path)
    assert rates(found) == [210.0, 410.0]
    assert any(note == "scaled" for note, _ in found.notes)


def test_a_large_raster_is_read_about_the_field_alone(tmp_path: Path) -> None:
    values = np.zeros((1, 1200, 1200), dtype=np.float32)
    values[0, :, ::2] = 100.0
    path = write(tmp_path / "a.tif", values, compress="deflate")
    outline = tmp_path / "field.csv"
    west, north = LON + 0.06, LAT - 0.06
    ring = shapely.box(west, north - 0.001, west + 0.002, north)
    outline.write_text(f'name;wkt\nA;"{ring.wkt}"\n', encoding="utf-8")
    found = made(path, tmp_path, boundary=outline, crs="EPSG:4326")
    assert rates(found) == [0.0, 100.0]
    assert found.rates[0].area_m2 == pytest.approx(found.rates[1].area_m2, rel=1e-4)
    with pytest.raises(UsageError, match="1,440,000 pixels in all, more than 1,000,000"):
        made(path, tmp_path)


@pytest.mark.parametrize(
    ("facts", "values", "why"),
    [
        (
            {"crs": None, "transform": Affine(10.0, 0.0, 400_000.0, 0.0, -10.0, 6_000_000.0)},
            ROWS,
            "coordinate reference system of a.tif is unknown",
        ),
        ({"transform": Affine.identity()}, ROWS, "does not say where it lies"),
        ({}, ROWS * np.nan, "every pixel is nodata"),
        ({}, -ROWS, "row 0, column 0: -100 is negative; if it stands for no rate, state it as nodata"),
        ({}, ROWS * np.inf, "inf is not a rate"),
        ({}, ROWS.astype(np.complex64), "complex numbers"),
        ({}, ROWS * 1000, "rates from 100000 to 200000 kg/ha are out of the usual"),
        ({"photometric": "rgb"}, np.concatenate([ROWS] * 3).astype(np.uint8), "colours of a picture"),
    ],
)
def test_what_is_no_rate_map_is_refused_in_one_line(
    tmp_path: Path, facts: dict[str, Any], values: Any, why: str
) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rasterio.errors.NotGeoreferencedWarning)
        path = write(tmp_path / "a.tif", values, **facts)
    with pytest.raises(UsageError) as caught:
        made(path, tmp_path, column="1")
    assert why in str(caught.value)
    assert caught.value.remedy
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("size", [4, 60, 200])
def test_a_file_that_is_cut_off_cannot_be_read(tmp_path: Path, size: int) -> None:
    path = write(tmp_path / "a.tif", np.tile(ROWS, (1, 10, 10)))
    path.write_bytes(path.read_bytes()[:size])
    with pytest.raises((SourceError, UsageError)) as caught:
        made(path, tmp_path)
    assert str(path) in str(caught.value)

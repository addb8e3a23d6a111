"""What was applied, cell by cell: GeoTIFFs read back by rasterio, and the same computed by shapely."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest
import rasterio
import shapely

from taskdata import UsageError, coverage
from taskdata.model.tasks import Setpoint, Zone
from tests.fieldwork import build
from tests.samples import SAMPLES

SPRAYER = build.sprayer([2000, 3000, 2000])
LITRE_A_HECTARE = 10_000


def read(path):
    with rasterio.open(path) as file:
        return file.read(), file.crs, file.transform, file


def oblique(rates, *, wanted=None, spacing=6.0, turned=0.4):
    """A log of three passes with half a metre of overlap, turned, and the rectangles that its sections swept."""
    turn = np.array([[np.cos(turned), -np.sin(turned)], [np.sin(turned), np.cos(turned)]])
    ways = [build.straight(60.0, x=number * spacing) @ turn.T for number in range(3)]
    on = np.concatenate([np.append(np.ones(60, dtype=int), 0)] * 3)
    seconds = np.concatenate([np.arange(61) + number * 100.0 for number in range(3)])
    values = {(141, "DET21"): on, (2, "DET21"): np.round(np.concatenate(rates) * LITRE_A_HECTARE).astype(int)}
    if wanted is not None:
        values[1, "DET21"] = wanted * LITRE_A_HECTARE
    log = build.log(np.concatenate(ways), values, seconds=seconds)
    swept = []
    for number in range(3):
        for step in range(60):
            corners = shapely.box(number * spacing - 3.5, step, number * spacing + 3.5, step + 1.0)
            swept.append(shapely.transform(corners, lambda points: points @ turn.T))
    return log, np.array(swept), np.concatenate([rate[:60] for rate in rates])


def test_cells_hold_the_sum_of_all_sweeps_as_shapely_clips_them(tmp_path) -> None:
    random = np.random.default_rng(3)
    log, swept, rate = oblique([random.uniform(100.0, 300.0, 61) for _ in range(3)], wanted=210)
    found = coverage(build.dataset([log], [SPRAYER]), raster=tmp_path / "a.tif", cell_m=4.0)
    (applied, times, target), crs, transform, _ = read(tmp_path / "a.tif")
    rows, columns = np.mgrid[: applied.shape[0], : applied.shape[1]]
    corners = np.stack([columns, rows, columns + 1, rows + 1]).astype(float)
    east, north = transform.c + 4.0 * corners[[0, 2]], transform.f - 4.0 * corners[[1, 3]]
    boxes = shapely.box(east[0], north[1], east[1], north[0])
    to_crs = pyproj.Transformer.from_crs("EPSG:4326", pyproj.CRS.from_wkt(crs.to_wkt()), always_xy=True)
    placed = shapely.transform(swept, lambda points: np.column_stack(to_crs.transform(*build.degrees(points).T)))
    shared = shapely.area(shapely.intersection(boxes[..., np.newaxis], placed)) / 16.0
    met = shared.sum(axis=2) > 1e-4
    assert (np.isfinite(applied) == np.isfinite(times)).all()
    assert np.nan_to_num(times) == pytest.approx(shared.sum(axis=2), abs=2e-3)
    assert np.nan_to_num(applied) == pytest.approx(shared @ rate, abs=0.5)
    assert target[met] == pytest.approx(210.0)
    total = found.tasks[0].rates[0].applied / 1e6
    assert float(np.nansum(applied, dtype=float)) * 16.0 / 1e4 == pytest.approx(total, rel=1e-6)
    assert total == pytest.approx(float((rate * 7.0).sum()) / 1e4, rel=1e-4)
    assert found.raster.bands[0].total == pytest.approx(total, rel=1e-9)


def test_rasterio_reads_system_transform_nodata_units_and_tags(tmp_path) -> None:
    done = coverage(SAMPLES / "machine", task="TSK1", raster=tmp_path / "a.tif", cell_m=10.0).raster
    with rasterio.open(tmp_path / "a.tif") as file:
        assert np.isnan(file.nodata)
        assert (file.transform.a, file.transform.b, file.transform.d, file.transform.e) == (10.0, 0.0, 0.0, -10.0)
        assert (file.transform.c % 10.0, file.transform.f % 10.0) == (0.0, 0.0)
        assert file.units == ("L/ha", "1", "L/ha")
        assert [text.partition(":")[0] for text in file.descriptions] == ["applied", "times worked", "target"]
        assert file.tags(1)["unit"] == "L/ha"
        assert file.tags(1)["product_name"] == "Spritzbrühe Kornblick 2 %"
        assert file.tags()["AREA_OR_POINT"] == "Area"
        assert "label" in file.tags()["caution"]
        crs = pyproj.CRS.from_wkt(file.crs.to_wkt())
        assert (file.width, file.height) == (done.columns, done.rows)
        middle = file.transform.c + 5.0 * file.width, file.transform.f - 5.0 * file.height
    assert crs.name == done.crs
    assert crs.coordinate_operation.method_name == "Transverse Mercator"
    assert crs.geodetic_crs.to_epsg() == 4326
    lon, lat = pyproj.Transformer.from_crs(crs, "EPSG:4326", always_xy=True).transform(*middle)
    assert (lon, lat) == pytest.approx((7.0032, 54.3014), abs=1e-3)


def test_two_tanks_have_bands_of_their_own_and_sections_share_one(tmp_path) -> None:
    rate = 100 * LITRE_A_HECTARE
    log = build.passes(2, 7.0, 50.0, values={(2, f"DET{number}"): rate * number for number in (22, 23, 24)})
    coverage(build.dataset([log], [SPRAYER]), raster=tmp_path / "sections.tif")
    with rasterio.open(tmp_path / "sections.tif") as file:
        assert file.count == 3
        assert file.tags(1)["part"] == "DET22 DET23 DET24"
        total = float(np.nansum(file.read(1), dtype=float)) * 25.0 / 1e4
    assert total == pytest.approx(100.0 * (22 * 2 + 23 * 3 + 24 * 2) * 100.0 / 1e4, rel=1e-3)
    log = build.passes(2, 7.0, 50.0, values={(2, "DET20"): rate, (2, "DET21"): 2 * rate})
    coverage(build.dataset([log], [SPRAYER]), raster=tmp_path / "tanks.tif")
    with rasterio.open(tmp_path / "tanks.tif") as file:
        assert file.count == 6
        assert [file.tags(band)["part"] for band in (1, 4)] == ["DET20", "DET21"]
    zones = (Zone(1, setpoints=(Setpoint(1, rate, "PDT1"),)),)
    coverage(build.dataset([log], [SPRAYER], zones=zones), raster=tmp_path / "one.tif")
    with rasterio.open(tmp_path / "one.tif") as file:
        assert file.count == 3
        assert float(np.nanmax(file.read(1))) == pytest.approx(300.0, rel=1e-3)


def test_work_without_a_rate_shows_how_often_ground_was_worked(tmp_path) -> None:
    coverage(build.dataset([build.passes(2, 3.5, 50.0)], [SPRAYER]), raster=tmp_path / "a.tif", cell_m=0.5)
    with rasterio.open(tmp_path / "a.tif") as file:
        assert file.descriptions == ("times worked",)
        assert float(np.nanmax(file.read(1))) == pytest.approx(2.0, abs=1e-3)


def test_nothing_swept_is_refused(tmp_path) -> None:
    with pytest.raises(UsageError, match="nothing for a raster"):
        coverage(SAMPLES / "office", raster=tmp_path / "a.tif")

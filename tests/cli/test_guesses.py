"""What lies beside a layer tells its system: a set that it is merged with, and layers that are not taken."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import geopandas
import pytest
import shapely

import taskdata
from taskdata.model.whereabouts import centre


def lines(folder: Path, at: tuple[float, float], crs: int) -> Path:
    """Write a guidance line in a system as a shapefile without its .prj, as geopandas does."""
    folder.mkdir(exist_ok=True)
    lon, lat = at
    line = shapely.LineString([[lon, lat], [lon + 0.003, lat]])
    path = folder / "lines.shp"
    geopandas.GeoDataFrame({"NAME": ["quer"]}, geometry=[line], crs=4326).to_crs(crs).to_file(path)
    path.with_suffix(".prj").unlink()
    return path


@pytest.fixture
def beside(samples: Path, tmp_path: Path) -> tuple[Path, tuple[float, float]]:
    """A line near the fields of a set, in a system that nothing states."""
    at = centre(taskdata.read(samples / "office"))
    assert at is not None
    return lines(tmp_path / "extra", at, 25832), at


def test_a_set_tells_the_system_of_layers_merged_into_it(
    beside: tuple[Path, tuple[float, float]], samples: Path, tmp_path: Path, run: Callable
) -> None:
    path, at = beside
    for order in ((samples / "office", path), (path, samples / "office")):
        refused = run("merge", *order, tmp_path / "out", "--to", "isoxml", "--json")
        assert refused.code == 2
        assert len(refused.err.splitlines()) == 1
        assert "Most likely it is in EPSG:32632" in refused.err
        assert "give --accept-guess or --crs EPSG:32632" in refused.err
        done = run("merge", *order, tmp_path / "out", "--to", "isoxml", "--json", "--accept-guess", "--overwrite")
        assert done.code == 0
        assert "import.crs-guessed" in {item["rule"] for item in json.loads(done.out)["findings"]}
        (line,) = [line for line in taskdata.read(tmp_path / "out").guidance if line.name == "quer"]
        assert line.points[0] == pytest.approx(at, abs=1e-7)


def test_layers_that_are_not_taken_tell_it_too(tmp_path: Path) -> None:
    lines(tmp_path, (10.0, 54.0), 25832)
    field = shapely.box(9.99, 53.99, 10.01, 54.01)
    geopandas.GeoDataFrame({"NAME": ["Kuhle"]}, geometry=[field], crs=4326).to_file(tmp_path / "fields.shp")
    data = taskdata.read(tmp_path, take="lines.shp", accept_guess=True)
    assert [field.boundaries for field in data.fields] == [()]
    assert data.guidance[0].points[0] == pytest.approx((10.0, 54.0), abs=1e-7)


def test_a_file_alone_is_compared_with_what_lies_beside_it(
    beside: tuple[Path, tuple[float, float]], samples: Path, tmp_path: Path, run: Callable
) -> None:
    """A set in the folder of the file tells its system; without anything beside it nothing does."""
    path, at = beside
    assert "Name it, for example" in run("convert", path, tmp_path / "out", "--to", "isoxml", "--accept-guess").err
    shutil.copytree(samples / "office" / "TASKDATA", path.parent / "TASKDATA")
    assert "to the ground of" in run("convert", path, tmp_path / "out", "--to", "isoxml").err
    assert run("convert", path, tmp_path / "out", "--to", "isoxml", "--accept-guess").code == 0
    (line,) = taskdata.read(tmp_path / "out").guidance
    assert line.points[0] == pytest.approx(at, abs=1e-7)


def test_convert_tells_each_system_as_json(tmp_path: Path, run: Callable) -> None:
    stick = tmp_path / "stick"
    lines(stick, (10.0, 54.0), 25832)
    field = shapely.box(9.99, 53.99, 10.01, 54.01)
    geopandas.GeoDataFrame({"NAME": ["Kuhle"]}, geometry=[field], crs=4258).to_file(stick / "fields.shp")
    done = run("convert", stick, tmp_path / "out", "--to", "isoxml", "--accept-guess", "--json")
    assert done.code == 0
    met = {item["from"]: item for item in json.loads(done.out)["datum"]}
    assert {name: item["layers"] for name, item in met.items()} == {
        "ETRS89": ["fields"],
        "ETRS89 / UTM zone 32N": ["lines"],
    }
    assert all(item["accuracy_m"] == 1.0 and "fixed to the Eurasian plate" in item["note"] for item in met.values())

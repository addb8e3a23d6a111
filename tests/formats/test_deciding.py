"""Folders of layers whose systems are missing, wrong or swapped; written by geopandas, placed by pyproj."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pytest
import shapely

import taskdata
from taskdata.errors import UsageError
from taskdata.findings import Finding
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.placing.ground import Ground
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import placed, raw_layers, read
from taskdata.reports.words import message

AT = (10.0, 54.0)
IOWA = (-93.03, 42.01)
SIDE = 0.002


def squares(at: tuple[float, float], count: int = 3) -> geopandas.GeoDataFrame:
    lon, lat = at
    boxes = [shapely.box(lon + 2 * k * SIDE, lat, lon + (2 * k + 1) * SIDE, lat + SIDE) for k in range(count)]
    return geopandas.GeoDataFrame({"NAME": [f"Schlag {k}" for k in range(count)]}, geometry=boxes, crs=4326)


def save(
    folder: Path, name: str, crs: int | str, at: tuple[float, float] = AT, *, says: int | str | None = None
) -> Path:
    """Write squares in a system as a shapefile; ``says`` is what its .prj states, None for no .prj."""
    path = folder / f"{name}.shp"
    frame = squares(at).to_crs(crs)
    frame.set_crs(says or crs, allow_override=True).to_file(path)
    if says is None:
        path.with_suffix(".prj").unlink()
    return path


def swap(folder: Path, name: str, at: tuple[float, float] = AT) -> Path:
    """Write squares as GeoJSON with latitude first."""
    path = folder / f"{name}.geojson"
    frame = squares(at)
    frame["geometry"] = frame.geometry.map(lambda shape: shapely.transform(shape, lambda points: points[:, ::-1]))
    frame.to_file(path, driver="GeoJSON")
    return path


def corner(source: PlacedLayers, name: str) -> Any:
    shapes = shapely.from_wkb(source.tables[name].table["geometry"].to_pylist())
    return shapely.get_coordinates(shapes).min(axis=0)


def told(source: PlacedLayers) -> dict[str, str]:
    return {finding.rule.id: message(finding) for finding in source.findings}


ACCEPT = TakeOptions(accept_guess=True)

MISSING = {
    "WGS 84, zone 32": (32632, 4326, AT),
    "ETRS89, the zone beside": (25832, 25833, (11.5, 54.0)),
    "Gauss-Kruger zone 3": (31467, 25832, AT),
    "US survey feet": (3417, 4326, IOWA),
    "metres of the same zone": (26975, 26915, IOWA),
    "NAD83(2011)": (6344, 6344, IOWA),
    "Lambert-93": (2154, 4326, (2.5, 47.2)),
    "the Australian grid": (7855, 7844, (145.5, -36.0)),
    "the New Zealand grid": (2193, 4326, (170.5, -44.0)),
    "the Dutch grid": (28992, 4326, (5.4, 52.1)),
}


@pytest.mark.parametrize("case", MISSING)
def test_a_missing_system_is_offered_and_applied_on_demand(case: str, tmp_path: Path) -> None:
    """The guess puts the squares where they were written, within the accuracy of the change of datum (2 m at most)."""
    crs, beside, at = MISSING[case]
    save(tmp_path, "fields", beside, (at[0] + 0.02, at[1]), says=beside)
    save(tmp_path, "plots", crs, at)
    with pytest.raises(UsageError) as refused:
        read(tmp_path)
    assert "plots.shp is unknown" in str(refused.value)
    assert "Most likely it is in " in str(refused.value)
    assert "give `accept_guess`" in str(refused.value)
    source = read(tmp_path, options=ACCEPT)
    assert np.abs((corner(source, "plots") - at) * [70_000.0, 111_000.0]).max() < 2.0
    assert "plots.shp was read in a guessed system" in told(source)["import.crs-guessed"]


def test_a_missing_system_without_other_data_is_not_guessed(tmp_path: Path) -> None:
    save(tmp_path, "plots", 32632)
    with pytest.raises(UsageError, match='Name it, for example crs="EPSG:25832"'):
        read(tmp_path, options=ACCEPT)
    near = [Ground("TASKDATA", AT[0], AT[1], AT[0], AT[1], certain=True)]
    source = placed(raw_layers(tmp_path), ACCEPT, beside=near)
    assert corner(source, "plots") == pytest.approx(AT, abs=1e-9)


def test_a_named_system_goes_before_the_guess_and_is_doubted_where_it_is_wrong(tmp_path: Path) -> None:
    save(tmp_path, "fields", 4326, says=4326)
    save(tmp_path, "plots", 32632)
    sound = read(tmp_path, options=TakeOptions(crs="EPSG:25832", accept_guess=True))
    assert "import.crs-guessed" not in told(sound)
    assert "import.crs-doubtful" not in told(sound)
    wrong = read(tmp_path, options=TakeOptions(crs="EPSG:25833"))
    assert corner(wrong, "plots")[0] > 15.0
    assert "ETRS89 / UTM zone 33N puts it 39" in told(wrong)["import.crs-doubtful"]


def test_the_wrong_zone_is_told_and_changed_on_demand_alone(tmp_path: Path) -> None:
    save(tmp_path, "fields", 25832, says=25832)
    save(tmp_path, "points", 4326, says=4326)
    save(tmp_path, "plots", 25832, says=25833)
    source = read(tmp_path)
    assert corner(source, "plots")[0] > 15.0
    text = told(source)["import.crs-doubtful"]
    assert "plots.shp may lie in the wrong place: ETRS89 / UTM zone 33N puts it 39" in text
    assert "Most likely it is in EPSG:25832" in text
    assert "Nothing was changed." in text
    guessed = read(tmp_path, options=ACCEPT)
    assert corner(guessed, "plots") == pytest.approx(AT, abs=1e-8)
    assert "import.crs-guessed" in told(guessed)
    named = read(tmp_path, options=TakeOptions(crs="EPSG:25832"))
    assert corner(named, "plots") == pytest.approx(AT, abs=1e-8)
    assert "plots.shp was read in EPSG:25832 as named" in told(named)["import.crs-replaced"]
    (moved,) = [datum for datum in named.datum if "plots" in datum.layers]
    assert moved.source == "ETRS89 / UTM zone 32N"


def test_a_plausible_system_is_never_replaced(tmp_path: Path) -> None:
    save(tmp_path, "fields", 25832, says=25832)
    save(tmp_path, "points", 4326, says=4326)
    before = read(tmp_path)
    source = read(tmp_path, options=TakeOptions(crs="EPSG:25833", accept_guess=True))
    assert corner(source, "fields") == pytest.approx(corner(before, "fields"), abs=0.0)
    assert {"import.crs-replaced", "import.crs-guessed", "import.crs-doubtful"}.isdisjoint(told(source))
    assert told(source)["import.crs-not-applied"].startswith("EPSG:25833 was not applied to")


def test_of_two_that_disagree_none_is_changed_by_a_guess(tmp_path: Path) -> None:
    save(tmp_path, "fields", 25832, says=25832)
    save(tmp_path, "plots", 25832, says=25833)
    source = read(tmp_path, options=ACCEPT)
    texts = [message(item) for item in source.findings if item.rule.id == "import.crs-doubtful"]
    assert len(texts) == 2
    assert all("The other layer may as well be the wrong one." in text for text in texts)
    assert corner(source, "plots")[0] > 15.0
    named = read(tmp_path, options=TakeOptions(crs="EPSG:25832"))
    assert corner(named, "plots") == pytest.approx(AT, abs=1e-8)
    assert corner(named, "fields") == pytest.approx(AT, abs=1e-8)


def test_feet_that_say_metres(tmp_path: Path) -> None:
    save(tmp_path, "plots", 3417, IOWA, says=26975)
    source = read(tmp_path)
    assert "import.outside-area-of-use" in told(source)
    assert "Most likely it is in EPSG:3417: in US survey feet" in told(source)["import.crs-doubtful"]
    guessed = read(tmp_path, options=ACCEPT)
    assert np.abs((corner(guessed, "plots") - IOWA) * 111_000.0).max() < 0.01
    assert "import.outside-area-of-use" not in told(guessed)


def test_swapped_geojson_is_told_and_turned_on_demand(tmp_path: Path) -> None:
    swap(tmp_path, "plots")
    source = read(tmp_path)
    assert corner(source, "plots") == pytest.approx(AT[::-1], abs=1e-9)
    assert "its coordinates seem to be swapped, latitude first" in told(source)["import.crs-doubtful"]
    for options in (ACCEPT, TakeOptions(crs="swapped:EPSG:4326")):
        turned = read(tmp_path, options=options)
        assert corner(turned, "plots") == pytest.approx(AT, abs=1e-9)
        assert [datum.operation for datum in turned.datum] == ["axes swapped"]


def test_latitudes_beyond_the_pole_are_offered_turned(tmp_path: Path) -> None:
    swap(tmp_path, "plots", (145.5, -36.0))
    with pytest.raises(UsageError, match=r"beyond 90 degrees.*swapped:EPSG:4326"):
        read(tmp_path)
    turned = read(tmp_path, options=ACCEPT)
    assert corner(turned, "plots") == pytest.approx((145.5, -36.0), abs=1e-9)


def test_one_of_several_layers_is_swapped(tmp_path: Path) -> None:
    """10 N 50 E is on land in Somalia, so that the other two tell it."""
    for name in ("fields", "lines"):
        squares((10.0, 50.0)).to_file(tmp_path / f"{name}.geojson", driver="GeoJSON")
    swap(tmp_path, "plots", (10.0, 50.0))
    source = read(tmp_path, options=ACCEPT)
    assert all(corner(source, name) == pytest.approx((10.0, 50.0), abs=1e-9) for name in source.tables)
    assert [finding.place.file for finding in source.findings if finding.rule.id == "import.crs-guessed"] == [
        "plots.geojson"
    ]


def test_from_python(tmp_path: Path) -> None:
    save(tmp_path, "fields", 4326, says=4326)
    save(tmp_path, "plots", 32632, (AT[0], AT[1] + 0.01))
    data = taskdata.read(tmp_path, accept_guess=True)
    assert len(data.fields) == 6
    found: list[Finding] = [item for item in data.findings if item.rule.id == "import.crs-guessed"]
    assert len(found) == 1


def test_a_mapping_file_names_the_system_of_one_layer(tmp_path: Path) -> None:
    """It replaces what the file states, and neither --crs nor a guess goes before it; what is implausible is told."""
    save(tmp_path, "fields", 4326, says=4326)
    save(tmp_path, "lines", 4326, says=4326)
    save(tmp_path, "plots", 25833, (AT[0] + 2.0, AT[1]), says=25832)
    mapping = tmp_path / "farm.toml"
    mapping.write_text('[[item]]\nfile = "plots.shp"\ncrs = "EPSG:25833"\n')
    options = TakeOptions.of({"mapping": mapping, "crs": "EPSG:25831", "accept_guess": True})
    source = read(tmp_path, "shapefile", options)
    assert corner(source, "plots") == pytest.approx((AT[0] + 2.0, AT[1]), abs=1e-8)
    mapping.write_text('[[item]]\nfile = "plots.shp"\ncrs = "EPSG:4326"\n')
    wrong = read(tmp_path, "shapefile", TakeOptions.of({"mapping": mapping, "accept_guess": True}))
    assert "WGS 84 is in degrees, and its coordinates are not" in told(wrong)["import.crs-doubtful"]


def test_what_is_left_out_is_told_with_the_guess(tmp_path: Path) -> None:
    save(tmp_path, "fields", 4326, says=4326)
    save(tmp_path, "plots", 32632)
    source = read(tmp_path, partial=True)
    assert list(source.tables) == ["fields"]
    assert "no system is stated; most likely it is in EPSG:32632)" in told(source)["import.crs-unknown"]

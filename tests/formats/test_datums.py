"""Datums are kept apart: which operation was used, how accurate it is, and what it leaves open."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyarrow as pa
import pyogrio
import pytest
import shapely

from taskdata.formats.placing.datums import family
from taskdata.formats.read import read
from taskdata.geometry.transform import to_wgs84
from taskdata.results.reading import Datum

# The accuracies are those of the EPSG registry: operations 1149, 1188, 8450, 1150 and 9081.
KNOWN = {
    25832: ("ETRS89", 1.0, (560_000.0, 5_980_000.0)),
    26915: ("NAD83", 4.0, (500_000.0, 4_650_000.0)),
    6344: ("NAD83", 2.0, (500_000.0, 4_650_000.0)),
    7855: ("GDA2020", 3.0, (400_000.0, 6_000_000.0)),
    28355: ("GDA94", 3.0, (400_000.0, 6_000_000.0)),
    2154: ("ETRS89", 1.0, (700_000.0, 6_600_000.0)),
    2193: ("NZGD2000", 1.0, (1_600_000.0, 5_400_000.0)),
    31982: ("SIRGAS 2000", 1.0, (500_000.0, 7_500_000.0)),
}


def written(folder: Path, name: str, code: int, east: float, north: float) -> None:
    """Write a field as a shapefile with its .prj, as GDAL does."""
    size = 100.0 if east > 360.0 else 0.001
    square = shapely.box(east, north, east + size, north + size)
    table = pa.table({"NAME": [name], "geometry": [shapely.to_wkb(square)]})
    options = {"geometry_name": "geometry", "geometry_type": "Polygon", "crs": f"EPSG:{code}"}
    pyogrio.write_arrow(table, folder / f"{name}.shp", driver="ESRI Shapefile", **options)


def read_one(folder: Path, code: int, place: tuple[float, float]) -> Datum:
    written(folder, "fields", code, *place)
    (datum,) = read(folder).datum
    return datum


@pytest.mark.parametrize("code", KNOWN)
def test_a_datum_fixed_to_a_plate_is_told_with_its_caveat(code: int, tmp_path: Path) -> None:
    name, accuracy, place = KNOWN[code]
    datum = read_one(tmp_path, code, place)
    assert (datum.layers, datum.target, datum.accuracy_m) == (("fields",), "EPSG:4326", accuracy)
    assert "to WGS 84" in datum.operation
    assert datum.note is not None
    assert f"{name} and WGS 84 were treated as the same (null shift)" in datum.note
    assert f"{name} is fixed to the" in datum.note


def test_a_null_shift_leaves_what_the_plate_moved(tmp_path: Path) -> None:
    """The same numbers in ETRS89 and WGS 84 come out equal within a millimetre: nothing is corrected, which is told.

    How far the ground has moved since 1989.0 is the velocity of Potsdam in ITRF, 2.4 cm a year (from memory).
    """
    east, north = KNOWN[25832][2]
    here = [to_wgs84(f"EPSG:{code}").forward([(east, north)])[0] for code in (25832, 32632)]
    assert here[0] == pytest.approx(here[1], abs=1e-8)
    datum = read_one(tmp_path, 25832, (east, north))
    assert "moves in it by about 2.5 cm a year" in str(datum.note)


def test_an_older_datum_is_changed_and_has_no_caveat(tmp_path: Path) -> None:
    datum = read_one(tmp_path, 31467, (3_500_000.0, 5_900_000.0))
    assert (datum.note, datum.moved) == (None, True)
    assert "DHDN to WGS 84" in datum.operation


def test_each_system_is_told_with_its_layers(tmp_path: Path) -> None:
    written(tmp_path, "east", 25833, 300_000.0, 5_990_000.0)
    written(tmp_path, "fields", 25832, 560_000.0, 5_980_000.0)
    written(tmp_path, "lines", 25832, 561_000.0, 5_980_000.0)
    written(tmp_path, "points", 4326, 10.0, 54.0)
    found = {datum.source: datum for datum in read(tmp_path).datum}
    assert {name: datum.layers for name, datum in found.items()} == {
        "ETRS89 / UTM zone 33N": ("east",),
        "ETRS89 / UTM zone 32N": ("fields", "lines"),
        "WGS 84": ("points",),
    }
    assert (found["WGS 84"].operation, found["WGS 84"].accuracy_m, found["WGS 84"].moved) == ("identity", 0.0, False)
    assert "realization and epoch of WGS 84 are not stated" in str(found["WGS 84"].note)


def test_assumed_degrees_are_no_stated_wgs_84(tmp_path: Path) -> None:
    written(tmp_path, "fields", 4326, 10.0, 54.0)
    (tmp_path / "fields.prj").unlink()
    (datum,) = read(tmp_path).datum
    assert (datum.source, datum.accuracy_m, datum.moved) == ("WGS 84", None, False)
    assert "No system is stated" in str(datum.note)


def test_a_dynamic_frame_wants_an_epoch(tmp_path: Path) -> None:
    """EPSG:9057 is WGS 84 (G1762), a dynamic frame of epoch 2005.0 (EPSG registry)."""
    datum = read_one(tmp_path, 9057, (10.0, 54.0))
    assert datum.note is not None
    assert "The epoch is not stated: the ground moves in WGS 84 (G1762)" in datum.note


def test_families_are_those_of_the_registry() -> None:
    names = {"WGS 84": 4326, "GDA2020": 7844, "NAD83": 4269, "ETRS89": 4258}
    found = {name: family(to_wgs84(f"EPSG:{code}").datum) for name, code in names.items()}
    assert found == {"WGS 84": None, "GDA2020": "GDA2020", "NAD83": "NAD83", "ETRS89": "ETRS89"}
    assert np.isfinite(to_wgs84("EPSG:7844").forward([(145.0, -35.0)])).all()

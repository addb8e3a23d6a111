"""Indexes of many points against SQLite's own check of its R-trees, GDAL's queries, and those that GDAL makes."""

import sqlite3
from contextlib import closing

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyogrio
import pytest

from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec, LongLayer
from taskdata.formats.drivers import geopackage_index
from taskdata.formats.drivers.geopackage_index import PointIndexes
from taskdata.formats.drivers.ogr import write_layer
from taskdata.formats.geometries.fixed_size_wkb import points

INSIDE = "SELECT id FROM rtree_{}_geom WHERE maxx >= ? AND minx <= ? AND maxy >= ? AND miny <= ? ORDER BY id"
COUNT = "SELECT count(*) FROM rtree_{}_geom"
MADE = "SELECT name, sql FROM sqlite_master WHERE name LIKE 'rtree%' OR name = 'gpkg_extensions' ORDER BY name"


def layer(name, lon, lat, at_once=1_000):
    """Return a long layer of points."""
    spec = LayerSpec(name, GeometryType.POINT, "Points", (Column("number", ColumnType.INTEGER, "From 0"),))
    table = pa.table({"number": np.arange(len(lon)), "geometry": points(lon, lat)})
    return LongLayer(
        spec, table.schema, len(lon), lambda: (table.slice(at, at_once) for at in range(0, len(lon), at_once))
    )


def places(count, lost=0.0):
    random = np.random.default_rng(count)
    lon, lat = 7.0 + np.cumsum(random.normal(0.0, 1e-5, count)), 54.0 + np.cumsum(random.normal(0.0, 1e-5, count))
    lon[random.random(count) < lost] = np.nan
    return lon, lat


def tree(base, name, box):
    """Return what SQLite finds in an index; its edges are float32 that hold the point."""
    west, south, east, north = box
    return [row for (row,) in base.execute(INSIDE.format(name), (west, east, south, north))]


@pytest.mark.parametrize("lost", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("count", [1, 2, 51, 52, 51 * 51, 51 * 51 + 1, 7_000])
def test_every_point_is_found_and_no_other(tmp_path, count, lost):
    path = tmp_path / "x.gpkg"
    lon, lat = places(count, lost)
    indexes = PointIndexes(path)
    for name in ("one", "same"):
        indexes.write(layer(name, lon, lat))
    indexes.write(layer("other", lon[::-1], lat[::-1]))
    random = np.random.default_rng(1)
    with closing(sqlite3.connect(path)) as base:
        for name in ("one", "same", "other"):
            x, y = (lon[::-1], lat[::-1]) if name == "other" else (lon, lat)
            known = ~np.isnan(x)
            assert base.execute(f"SELECT rtreecheck('rtree_{name}_geom')").fetchall() == [("ok",)]
            assert base.execute(COUNT.format(name)).fetchall() == [(known.sum(),)]
            for middle in random.integers(0, count, 5):
                ends = random.uniform(-2e-4, 2e-4, 4) + np.tile(
                    [7.0, 54.0] if np.isnan(x[middle]) else [x[middle], y[middle]], 2
                )
                west, east, south, north = *sorted(ends[::2]), *sorted(ends[1::2])
                inside = known & (x >= west) & (x <= east) & (y >= south) & (y <= north)
                found = pyogrio.read_arrow(path, layer=name, bbox=(west, south, east, north))[1]
                found = found.filter(pc.is_valid(found["geom"]))  # GDAL drops a filter that holds the whole layer
                assert found["number"].to_pylist() == np.flatnonzero(inside).tolist()
                assert set(np.flatnonzero(inside) + 1) <= set(tree(base, name, (west, south, east, north)))


def test_tables_triggers_and_extension_are_those_of_gdal(tmp_path):
    lon, lat = places(3_000, 0.1)
    ours, theirs = tmp_path / "ours.gpkg", tmp_path / "theirs.gpkg"
    PointIndexes(ours).write(layer("points", lon, lat))
    write_layer(theirs, layer("points", lon, lat), "GPKG")
    for statement in (MADE, "SELECT * FROM gpkg_extensions", "SELECT * FROM gpkg_ogr_contents", "SELECT * FROM points"):
        found = []
        for path in (ours, theirs):
            with closing(sqlite3.connect(path)) as base:
                found.append(base.execute(statement).fetchall())
        assert found[0] == found[1]
        assert found[0]


def test_rows_can_go_and_come_later(tmp_path):
    lon, lat = places(6_000)
    path = tmp_path / "x.gpkg"
    PointIndexes(path).write(layer("points", lon, lat))
    with closing(sqlite3.connect(path)) as base, base:
        base.execute("DELETE FROM rtree_points_geom WHERE id % 3 = 0")
        base.executemany(
            "INSERT INTO rtree_points_geom VALUES (?, 8, 8, 55, 55)", [(at,) for at in range(7_000, 9_000)]
        )
        assert base.execute("SELECT rtreecheck('rtree_points_geom')").fetchall() == [("ok",)]
        assert base.execute("SELECT count(*) FROM rtree_points_geom").fetchall() == [(6_000,)]
        assert len(tree(base, "points", (8.0, 55.0, 8.0, 55.0))) == 2_000


def test_without_r_trees_of_its_own_gdal_makes_the_index(tmp_path, monkeypatch):
    monkeypatch.setattr(geopackage_index, "_can_be_filled", lambda: False)
    assert not PointIndexes.suits(layer("points", *places(10)))
    monkeypatch.undo()
    assert PointIndexes.suits(layer("points", *places(10)))

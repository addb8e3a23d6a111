"""How fast prepared tables and documents are written, as ratios to the bare libraries writing the same.

Floors: pyogrio's ``write_arrow`` of the same table with the same driver, pyarrow's ``write_table`` for GeoParquet, and
lxml's ``write`` of the same tree for ISO-XML.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet
import pyogrio
from lxml import etree

from taskdata.file_formats.table import format_named, formats_of_layers
from taskdata.formats.base import LayerFiles
from taskdata.formats.columns import Column, ColumnType, GeometryType, Layer, LayerSpec
from taskdata.formats.geometries.fixed_size_wkb import boxes, points
from taskdata.formats.registry import writer
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.writing.write import write_folder
from tests.benchmarks import bench_reading
from tests.benchmarks.measure import alternating, show

POLYGONS = 200_000
POINTS = 2_000_000
UNINDEXED = {"flatgeobuf"}
"""Formats whose optional index the project does not write."""
ROUNDS = 3
COLUMNS = (
    Column("key", ColumnType.INTEGER, "number"),
    Column("rate", ColumnType.REAL, "value"),
    Column("label", ColumnType.TEXT, "name"),
)
FORMATS = [form.name for form in formats_of_layers() if form.writes]


def run(polygons: int = POLYGONS, point_count: int = POINTS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return the ratio to its floor of each format and kind of geometry."""
    rows = [("what", "seconds", "floor", "ratio")]
    ratios = {}
    for layer in (_cells(polygons), _records(point_count)):
        for name in FORMATS:
            ours, floor = _pair(name, layer, rounds)
            what = f"{name}, {layer.table.num_rows} {layer.spec.name}"
            ratios[what] = ours / floor
            rows.append((what, f"{ours:.2f}", f"{floor:.2f}", f"{ours / floor:.2f}"))
    ours, floor = _documents(point_count // bench_reading.POINTS, rounds)
    ratios["isoxml"] = ours / floor
    rows.append((f"isoxml, {point_count} points", f"{ours:.2f}", f"{floor:.2f}", f"{ours / floor:.2f}"))
    show(f"Writing (median of {rounds}, floor in turn)", rows)
    return ratios


def _pair(name: str, layer: Layer, rounds: int) -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        ours = partial(_fresh, room, partial(_driver, name, layer))
        floor = partial(_fresh, room, partial(_bare, name, layer))
        found = alternating({"ours": ours, "floor": floor}, rounds)
    return found["ours"], found["floor"]


def _fresh(room: Path, job: Callable[[Path], Any]) -> None:
    """Run a job in an empty folder."""
    place = room / "target"
    place.mkdir()
    job(place)
    shutil.rmtree(place)


def _driver(name: str, layer: Layer, place: Path) -> None:
    writer(name).write(LayerFiles(place / f"x{format_named(name).suffix}"), [layer], None)


def _bare(name: str, layer: Layer, place: Path) -> None:
    if name == "parquet":
        pyarrow.parquet.write_table(layer.table, place / "x.parquet", compression="zstd")
        return
    assert layer.spec.geometry is not None
    kind = layer.spec.geometry.value
    options = {"geometry_name": "geometry", "geometry_type": kind, "crs": "EPSG:4326"}
    if name in UNINDEXED:
        options["layer_options"] = {"SPATIAL_INDEX": "NO"}
    path = place / f"x{format_named(name).suffix}"
    pyogrio.write_arrow(layer.table, path, driver=pyogrio.detect_write_driver(path), **options)


def _documents(polygons: int, rounds: int) -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "source" / "TASKDATA.XML"
        source.parent.mkdir()
        bench_reading.write_source(source, polygons)
        document, tree = read_document(source), etree.parse(source)
        room = Path(folder)
        ours = partial(_fresh, room, lambda place: write_folder(document, place / "x"))
        floor = partial(_fresh, room, lambda place: tree.write(place / "x", encoding="UTF-8", xml_declaration=True))
        found = alternating({"ours": ours, "floor": floor}, rounds)
    return found["ours"], found["floor"]


def _cells(count: int) -> Layer:
    """Return squares of about 10 m."""
    side = int(np.ceil(np.sqrt(count)))
    east, north = (part.ravel()[:count] * 1e-4 for part in np.meshgrid(np.arange(side), np.arange(side)))
    west, south = 10.0 + east, 54.0 + north
    return _layer("cells", GeometryType.POLYGON, boxes(west, south, west + 1e-4, south + 1e-4))


def _records(count: int) -> Layer:
    """Return points along a spiral."""
    turn = np.arange(count) * 1e-3
    return _layer(
        "records", GeometryType.POINT, points(10.0 + turn * np.cos(turn) * 1e-4, 54.0 + turn * np.sin(turn) * 1e-4)
    )


def _layer(name: str, kind: GeometryType, geometry: pa.Array) -> Layer:
    count = len(geometry)
    numbers = np.arange(count)
    labels = pa.array([f"row {at % 1000}" for at in range(count)])
    values = {"key": pa.array(numbers), "rate": pa.array(numbers * 0.25), "label": labels, "geometry": geometry}
    return Layer(LayerSpec(name, kind, "benchmark", COLUMNS), pa.table(values))

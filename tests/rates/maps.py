"""A field with a map of rates near Lindhollen, and the independent way to what a set holds: XML, bytes, equal areas."""

from __future__ import annotations

import json
import struct
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
import shapely
from pyproj import Transformer
from rasterio.transform import Affine
from shapely import affinity
from shapely.geometry import mapping

LON, LAT = 7.0021, 54.3013
_TO_METRES = Transformer.from_pipeline(
    "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
    f"+step +proj=laea +lat_0={LAT} +lon_0={LON} +ellps=WGS84"
)
"""Equal areas, by another projection than the program uses (Snyder, Map Projections, USGS 1987, section 24)."""


def metres(shape: Any) -> Any:
    """A shape in degrees as one in metres, areas being true."""
    return shapely.transform(shape, lambda points: np.column_stack(_TO_METRES.transform(points[:, 0], points[:, 1])))


def degrees(shape: Any) -> Any:
    """A shape in metres about the middle as one in degrees."""
    return shapely.transform(
        shape, lambda points: np.column_stack(_TO_METRES.transform(points[:, 0], points[:, 1], direction="INVERSE"))
    )


FIELD = shapely.Polygon(
    [(-150, -110), (160, -95), (175, 90), (20, 130), (-140, 100)], [[(30, 0), (60, 5), (55, 35), (28, 30)]]
)
"""A field of about 6.5 ha with a pond, metres."""

STRIPES = [
    (shapely.box(-200, -200, -60, 200), 150.0),
    (shapely.Polygon([(-60, -200), (80, -200), (40, 200), (-60, 200)]), 200.0),
    (shapely.Polygon([(80, -200), (220, -200), (220, 200), (40, 200)]), 240.0),
]
"""A map that covers the field and more: shapes in metres, rates in L/ha."""


def write_layer(path: Path, rows: Iterable[tuple[Any, dict[str, Any]]]) -> Path:
    """Write shapes in metres with properties as GeoJSON."""
    features = [
        {"type": "Feature", "properties": facts, "geometry": None if shape is None else mapping(degrees(shape))}
        for shape, facts in rows
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return path


def write_field(folder: Path, shape: Any = FIELD) -> Path:
    """Write the outline of the field."""
    return write_layer(folder / "outline.geojson", [(shape, {"name": "Wiese am Deich"})])


def rate_at(x: float, y: float) -> float:
    """The rate of the map of polygons at a place."""
    return next(rate for shape, rate in STRIPES if shapely.intersects_xy(shape, x, y))


def squares(step: float = 10.0, turn: float = 0.3) -> list[tuple[Any, float]]:
    """Squares over the field, turned against north, with the rate of the map in their middle."""
    whole = shapely.box(-200, -200, 200, 200)
    count = int(300 / step)
    found = []
    for row in range(-count, count):
        for column in range(-count, count):
            square = shapely.box(column * step, row * step, (column + 1) * step, (row + 1) * step)
            moved = affinity.rotate(square, turn, origin=(0, 0), use_radians=True)
            if whole.contains(moved) and moved.distance(FIELD) < 2 * step:
                found.append((moved, rate_at(*moved.centroid.coords[0])))
    return found


def write_points(folder: Path, found: Sequence[tuple[Any, float]]) -> Path:
    """Write the middles of shapes with their rates."""
    return write_layer(folder / "points.geojson", [(shape.centroid, {"rate": rate}) for shape, rate in found])


def write_raster(folder: Path, step: float = 10.0, turn: float = 12.0) -> tuple[Path, list[tuple[Any, float]]]:
    """Write the map as a GeoTIFF in UTM zone 32, pixels turned by degrees, beyond the map nodata; and its pixels."""
    to_utm = Transformer.from_crs("EPSG:4326", "EPSG:32632", always_xy=True)
    east, north = to_utm.transform(LON, LAT)
    count = int(520 / step)
    place = (
        Affine.translation(east, north)
        @ Affine.rotation(turn)
        @ Affine.translation(-260, 260)
        @ Affine.scale(step, -step)
    )
    values, pixels = np.full((count, count), -9999.0, dtype=np.float32), []
    for row in range(count):
        for column in range(count):
            corners = [place @ (column + x, row + y) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
            lonlat = [to_utm.transform(x, y, direction="INVERSE") for x, y in corners]
            pixel = metres(shapely.Polygon(lonlat))
            x, y = pixel.centroid.coords[0]
            if shapely.box(-199, -199, 199, 199).contains(pixel) and pixel.distance(FIELD) < step:
                values[row, column] = rate_at(x, y)
                pixels.append((pixel, float(values[row, column])))
    path = folder / "map.tif"
    profile = {"driver": "GTiff", "height": count, "width": count, "count": 1, "dtype": "float32", "nodata": -9999.0}
    with rasterio.open(path, "w", crs="EPSG:32632", transform=place, **profile) as file:
        file.write(values, 1)
        file.descriptions = ("rate",)
    return path, pixels


def write_stripes(folder: Path, column: str = "rate") -> Path:
    """Write the map of polygons."""
    return write_layer(folder / "stripes.geojson", [(shape, {column: rate}) for shape, rate in STRIPES])


@dataclass(frozen=True)
class Stored:
    """A task as it stands in the files of a set: zones by code, its attributes, and the folder."""

    task: ET.Element
    folder: Path

    @property
    def zones(self) -> dict[int, ET.Element]:
        return {int(zone.get("A", "")): zone for zone in self.task.iter("TZN")}

    def values(self, code: int) -> list[int]:
        return [int(item.get("B", "")) for item in self.zones[code].iter("PDV")]

    def drawn(self) -> list[tuple[Any, list[tuple[str, int]]]]:
        """Every zone with polygons: its ground in metres, and DDI and value of its setpoints."""
        found = []
        for zone in self.task.iter("TZN"):
            parts = [part for polygon in zone.iter("PLN") for part in _polygons(polygon)]
            if parts:
                values = [(item.get("A", ""), int(item.get("B", ""))) for item in zone.iter("PDV")]
                found.append((metres(shapely.union_all(parts)), values))
        return found

    def cells(self) -> tuple[list[Any], list[list[int]]]:
        """The cells of its grid in metres, row by row from the south-west, and their raw rates."""
        (grid,) = self.task.iter("GRD")
        south, west, high, wide = (float(grid.get(name, "")) for name in "ABCD")
        columns, rows = int(grid.get("E", "")), int(grid.get("F", ""))
        content = (self.folder / f"{grid.get('G')}.BIN").read_bytes()
        assert int(grid.get("H", "")) == len(content)
        boxes = [
            metres(shapely.box(west + x * wide, south + y * high, west + (x + 1) * wide, south + (y + 1) * high))
            for y in range(rows)
            for x in range(columns)
        ]
        if grid.get("I") == "1":
            return boxes, [self.values(code) for code in content]
        count = len(self.values(int(grid.get("J", ""))))
        numbers = struct.unpack(f"<{len(content) // 4}i", content)
        return boxes, [list(numbers[at : at + count]) for at in range(0, len(numbers), count)]


def stored(target: Path) -> Stored:
    """The last task of a set."""
    folder = target / "TASKDATA"
    *_, task = ET.parse(folder / "TASKDATA.XML").getroot().iter("TSK")  # noqa: S314  # written by this test
    return Stored(task, folder)


def _polygons(polygon: ET.Element) -> list[Any]:
    rings = {kind: [_points(line) for line in polygon.iter("LSG") if line.get("A") == kind] for kind in "12"}
    whole = shapely.union_all([shapely.Polygon(ring) for ring in rings["1"]])
    return [shapely.difference(whole, shapely.union_all([shapely.Polygon(ring) for ring in rings["2"]]))]


def _points(line: ET.Element) -> list[tuple[float, float]]:
    return [(float(point.get("D", "")), float(point.get("C", ""))) for point in line.iter("PNT")]


def mean_rate(cell: Any, field: Any, rows: Sequence[tuple[Any, float]], gap: float = 0.0) -> float | None:
    """The rate of a cell by hand: amounts on its ground in the field, over that ground; None without ground."""
    ground = shapely.intersection(cell, field)
    if shapely.area(ground) < 1e-3:
        return None
    shapes, rates = np.array([shape for shape, _ in rows]), np.array([rate for _, rate in rows])
    near = shapely.intersects(ground, shapes)
    areas = shapely.area(shapely.intersection(ground, shapes[near]))
    return float((areas @ rates[near] + gap * (ground.area - areas.sum())) / ground.area)


def total(field: Any, rows: Sequence[tuple[Any, float]]) -> float:
    """Litres, kilograms or pieces of a map in a field, rates being per hectare."""
    return float(sum(shapely.area(shapely.intersection(field, shape)) * rate for shape, rate in rows) / 10_000.0)

"""Layers of known kinds as other programs might write them, drawn at random."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import pyarrow as pa
import shapely
from shapely import affinity

from taskdata.formats.base import RawTable

LON, LAT = 10.3, 54.3
_EAST, _NORTH = 1.0 / (111_320.0 * math.cos(math.radians(LAT))), 1.0 / 111_250.0

NEUTRAL = ["export", "layer1", "data", "shp_0042", "output", "2021-05-03", "Neu", "temp"]
NAMES = ["Große Breite", "Kuhle", "Moor", "Au", "Bruch", "Lehmkamp", "Hinterm Hof", "Ried", "Wurt", "Sandberg"]


@dataclass(frozen=True)
class Known:
    """Layers, and what the one in question truly is."""

    tables: dict[str, RawTable]
    name: str
    kind: str


def on_earth(shape: Any) -> Any:
    """Return a shape in metres about a place as one in degrees."""
    return affinity.affine_transform(shape, [_EAST, 0.0, 0.0, _NORTH, LON, LAT])


def table(name: str, shapes: list[Any], columns: dict[str, list[Any]]) -> RawTable:
    geometry = pa.array([shapely.to_wkb(on_earth(shape)) for shape in shapes], pa.binary())
    return RawTable(name, f"{name}.shp", pa.table({**columns, "geometry": geometry}))


def field(draw: random.Random, x: float = 0.0, y: float = 0.0) -> Any:
    """Return a field of 0.5 to 40 ha with bent edges."""
    radius, count = draw.uniform(45.0, 350.0), draw.randint(4, 14)
    stretch, turn = draw.uniform(1.0, 2.5), draw.uniform(0.0, 180.0)
    angles = sorted(draw.uniform(0.0, 360.0) for _ in range(count))
    corners = [(radius * math.cos(math.radians(a)), radius * math.sin(math.radians(a))) for a in angles]
    hull = shapely.MultiPoint([*corners, (radius, 0.0), (-radius, 0.0), (0.0, radius), (0.0, -radius)]).convex_hull
    return affinity.translate(affinity.rotate(affinity.scale(hull, stretch, 1.0), turn), x, y)


def fields(draw: random.Random) -> list[Any]:
    count = draw.choice([1, 1, 2, 5, 12, 40])
    return [field(draw, (number % 6) * 1_500.0, (number // 6) * 1_500.0) for number in range(count)]


def _title(draw: random.Random, *said: str) -> str:
    return draw.choice(NEUTRAL) if draw.random() < 0.5 else draw.choice(said)


def _beside(draw: random.Random, shapes: list[Any]) -> dict[str, RawTable]:
    """Return now and then a layer of the fields beside the one in question."""
    if draw.random() < 0.5:
        return {}
    names = [f"{draw.choice(NAMES)} {number}" for number in range(len(shapes))]
    return {"beside": table("beside", shapes, {"NAME": names})}


def of_fields(draw: random.Random) -> Known:
    shapes = fields(draw)
    columns: dict[str, list[Any]] = {"ID": list(range(len(shapes)))}
    if draw.random() < 0.7:
        columns[draw.choice(["NAME", "Schlag", "FIELD_NAME", "nom", "x1"])] = [
            f"{draw.choice(NAMES)} {number}" for number in range(len(shapes))
        ]
    if draw.random() < 0.4:
        columns[draw.choice(["CROP", "Frucht", "culture"])] = [draw.choice(["Raps", "Hafer"]) for _ in shapes]
    if draw.random() < 0.4:
        columns[draw.choice(["AREA", "HA", "flaeche"])] = [shape.area / 1e4 for shape in shapes]
    name = _title(draw, "fields", "Schläge", "boundary", "parcelles", "grenzen2020", "MyPaddocks")
    return Known({name: table(name, shapes, columns)}, name, "field")


def of_areas(draw: random.Random) -> Known:
    ground = fields(draw)
    shapes = []
    for shape in ground:
        for _ in range(draw.randint(1, 3)):
            spot = shape.centroid.buffer(draw.uniform(2.0, 25.0), quad_segs=draw.randint(2, 6))
            shapes.append(affinity.translate(spot, draw.uniform(-15.0, 15.0), draw.uniform(-15.0, 15.0)))
    columns = {"ID": list(range(len(shapes)))}
    name = _title(draw, "obstacles", "Hindernisse", "headland", "Wasser", "obstacle_polygons", "areas")
    beside = {"beside": table("beside", ground, {"NAME": [str(number) for number in range(len(ground))]})}
    return Known({name: table(name, shapes, columns)} | beside, name, "area")


def _slivers(draw: random.Random, width: float) -> tuple[list[Any], list[float]]:
    shapes, speeds = [], []
    length, rows = draw.uniform(60.0, 200.0), draw.randint(2, 6)
    speed = draw.uniform(1.2, 4.0)
    for row in range(rows):
        x, x_end = 0.0, length * draw.uniform(0.8, 1.0)
        while x < x_end:
            step = speed * draw.uniform(0.93, 1.07)
            shapes.append(shapely.box(x, row * width, x + step, (row + 1) * width))
            speeds.append(round(step * 3.6, 2))
            x += step
    turn = draw.uniform(0.0, 180.0)
    return [affinity.rotate(shape, turn, origin=(0.0, 0.0)) for shape in shapes], speeds


def of_swaths(draw: random.Random) -> Known:
    width = draw.choice([3.0, 6.0, 9.0, 12.0, 24.0, 27.0, 36.0])
    shapes, speeds = _slivers(draw, width)
    columns: dict[str, list[Any]] = {}
    if draw.random() < 0.6:
        columns[draw.choice(["SPEED", "Geschw", "vitesse_kmh"])] = speeds
    if draw.random() < 0.6:
        columns["TIME"] = [f"2021-05-03 10:{at // 60 % 60:02d}:{at % 60:02d}" for at in range(len(shapes))]
    if draw.random() < 0.4:
        columns[draw.choice(["WIDTH", "Breite", "SwathWidth"])] = [width] * len(shapes)
    if draw.random() < 0.5:
        columns[draw.choice(["RATE", "AppliedRate", "Menge", "VAL"])] = [draw.uniform(90.0, 110.0) for _ in shapes]
    name = _title(draw, "coverage", "applied", "swaths", "Bearbeitet", "AsApplied")
    ground = shapely.unary_union(shapes).convex_hull.buffer(12.0)
    return Known({name: table(name, shapes, columns)} | _beside(draw, [ground]), name, "swath")


def of_rates(draw: random.Random) -> Known:
    ground, size = field(draw), draw.choice([5.0, 10.0, 20.0, 24.0])
    shapes = []
    if draw.random() < 0.7:
        west, south, east, north = ground.bounds
        for x in range(int((east - west) / size)):
            for y in range(int((north - south) / size)):
                cell = shapely.box(west + x * size, south + y * size, west + (x + 1) * size, south + (y + 1) * size)
                if cell.intersects(ground) and len(shapes) < 4_000:
                    shapes.append(cell)
    else:
        west, south, east, north = ground.bounds
        count = draw.randint(3, 7)
        for part in range(count):
            strip = shapely.box(
                west + part * (east - west) / count, south, west + (part + 1) * (east - west) / count, north
            )
            if (zone := strip.intersection(ground)).area > 1.0:
                shapes.append(zone)
    rates = [draw.choice([100.0, 120.0, 140.0, 160.0, 180.0]) for _ in shapes]
    rates[0], rates[-1] = 100.0, 180.0
    named = draw.choice(["RATE", "Menge", "dose", "TargetRate", "Dawka", "GRIDCODE"])
    name = _title(draw, "prescription", "Rx_2021", "Applikationskarte", "zones", "modulation")
    return Known({name: table(name, shapes, {named: rates})} | _beside(draw, [ground]), name, "ratemap")


def of_guidance(draw: random.Random) -> Known:
    ground = fields(draw)[:6]
    shapes = []
    for shape in ground:
        for _ in range(draw.randint(1, 3)):
            angle, reach = draw.uniform(0.0, 180.0), draw.uniform(60.0, 250.0)
            middle = shape.centroid
            if draw.random() < 0.7:
                points = [(-reach, 0.0), (reach, 0.0)]
            else:
                bend, steps = draw.uniform(5.0, 40.0), 24
                points = [
                    (-reach + 2 * reach * at / steps, bend * math.sin(math.pi * at / steps)) for at in range(steps + 1)
                ]
            line = affinity.rotate(shapely.LineString(points), angle, origin=(0.0, 0.0))
            shapes.append(affinity.translate(line, middle.x, middle.y))
    columns: dict[str, list[Any]] = {"ID": list(range(len(shapes)))}
    if draw.random() < 0.7:
        columns["NAME"] = [f"AB {number}" for number in range(len(shapes))]
    if draw.random() < 0.4:
        columns[draw.choice(["SPACING", "Breite", "swath_m"])] = [draw.choice([3.0, 12.0, 24.0])] * len(shapes)
    if draw.random() < 0.3:
        columns[draw.choice(["HEADING", "Kurs", "cap"])] = [draw.uniform(0.0, 360.0) for _ in shapes]
    name = _title(draw, "guidance", "ab_lines", "Leitlinien", "Spurlinien", "tracks", "ABLines")
    return Known({name: table(name, shapes, columns)} | _beside(draw, ground), name, "guidance")


def of_lines(draw: random.Random) -> Known:
    ground = fields(draw)[:6]
    shapes = []
    for shape in ground:
        ring = shape.exterior.coords
        start, count = draw.randrange(len(ring) - 1), draw.randint(2, max(2, len(ring) // 2))
        points = [ring[(start + at) % (len(ring) - 1)] for at in range(min(count, len(ring) - 2))]
        line = shapely.LineString(points) if len(points) > 1 else shapely.LineString(ring[:2])
        shapes.append(affinity.scale(line, 1.02, 1.02, origin=shape.centroid))
    columns: dict[str, list[Any]] = {"ID": list(range(len(shapes)))}
    if draw.random() < 0.3:
        columns["NAME"] = [f"{draw.choice(NAMES)} {number}" for number in range(len(shapes))]
    name = draw.choice(["fence", "Zaun", "drainage", "clôtures", "ditches", "Wege", "tramlines", "sampling"])
    if draw.random() < 0.25:
        name = draw.choice(NEUTRAL)
    return Known({name: table(name, shapes, columns)} | _beside(draw, ground), name, "line")


def of_tracks(draw: random.Random) -> Known:
    """Return the tracks of a machine: pieces of line of a second each, or whole passes, with a width or what it did."""
    width, rows = draw.choice([3.0, 6.0, 12.0, 24.0]), draw.randint(6, 14)
    turn, length, pieces = draw.uniform(0.0, 180.0), draw.uniform(100.0, 300.0), draw.random() < 0.5
    shapes = []
    for row in range(rows):
        ends = [(0.0, row * width), (length, row * width)][:: 1 if row % 2 else -1]
        line = shapely.LineString(ends)
        if pieces:
            count = int(length / 3.0)
            cuts = [line.interpolate(at / count, normalized=True) for at in range(count + 1)]
            shapes += [shapely.LineString(pair) for pair in pairwise(cuts)]
        else:
            shapes.append(line)
    shapes = [affinity.rotate(shape, turn, origin=(0.0, 0.0)) for shape in shapes]
    columns: dict[str, list[Any]] = {}
    if draw.random() < 0.7:
        columns[draw.choice(["WIDTH", "Arbeitsbre", "largeur"])] = [width] * len(shapes)
    if draw.random() < 0.6 or not columns:
        columns[draw.choice(["SPEED", "Geschw"])] = [draw.uniform(6.0, 12.0) for _ in shapes]
    if draw.random() < 0.5:
        columns["TIME"] = [f"2021-05-03 10:{at // 60 % 60:02d}:{at % 60:02d}" for at in range(len(shapes))]
    name = _title(draw, "coverage", "applied", "swaths", "bearbeitet")
    return Known({name: table(name, shapes, columns)}, name, "swath")


def of_outlines(draw: random.Random) -> Known:
    shapes = [shapely.LineString(shape.exterior.coords) for shape in fields(draw)]
    columns: dict[str, list[Any]] = {"ID": list(range(len(shapes)))}
    if draw.random() < 0.6:
        columns["NAME"] = [f"{draw.choice(NAMES)} {number}" for number in range(len(shapes))]
    name = _title(draw, "boundaries", "Grenzen", "outline")
    return Known({name: table(name, shapes, columns)}, name, "field")


def of_points(draw: random.Random) -> Known:
    ground, count = field(draw), draw.randint(1, 30)
    shapes = [shapely.Point(draw.uniform(-200.0, 200.0), draw.uniform(-200.0, 200.0)) for _ in range(count)]
    columns: dict[str, list[Any]] = {"ID": list(range(count))}
    if draw.random() < 0.7:
        columns["NAME"] = [draw.choice(["Stein", "Zufahrt", "Mast", "Nässe"]) for _ in shapes]
    name = _title(draw, "flags", "obstacles", "Markierungen", "waypoints", "entrances")
    return Known({name: table(name, shapes, columns)} | _beside(draw, [ground]), name, "point")


def of_logs(draw: random.Random) -> Known:
    count, speed = draw.randint(60, 600), draw.uniform(1.0, 4.0)
    shapes = [shapely.Point(at * speed, 5.0 * math.sin(at / 40.0)) for at in range(count)]
    columns: dict[str, list[Any]] = {draw.choice(["SPEED", "Geschw", "v"]): [speed * 3.6] * count}
    if draw.random() < 0.6:
        columns["TIME"] = [f"2021-05-03 {10 + at // 3600}:{at // 60 % 60:02d}:{at % 60:02d}" for at in range(count)]
    name = _title(draw, "log", "Aufzeichnung", "recording")
    return Known({name: table(name, shapes, columns)}, name, "log")


def of_directions(draw: random.Random) -> Known:
    shapes = [
        shapely.Point(draw.uniform(-200.0, 200.0), draw.uniform(-200.0, 200.0)) for _ in range(draw.randint(1, 8))
    ]
    columns: dict[str, list[Any]] = {"NAME": [f"A {number}" for number in range(len(shapes))]}
    columns[draw.choice(["HEADING", "Kurs", "azimuth"])] = [draw.uniform(0.0, 360.0) for _ in shapes]
    if draw.random() < 0.6:
        columns[draw.choice(["SPACING", "Breite"])] = [12.0] * len(shapes)
    name = _title(draw, "guidance", "aplus", "Leitlinien")
    return Known({name: table(name, shapes, columns)}, name, "guidance")


MAKERS: dict[str, Callable[[random.Random], Known]] = {
    "fields": of_fields,
    "areas": of_areas,
    "swaths": of_swaths,
    "rates": of_rates,
    "guidance": of_guidance,
    "lines": of_lines,
    "tracks": of_tracks,
    "outlines": of_outlines,
    "points": of_points,
    "logs": of_logs,
    "directions": of_directions,
}

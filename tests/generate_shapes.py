"""Points, lines, polygons and guidance patterns, anywhere on the ellipsoid."""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence
from dataclasses import dataclass

from taskdata.isoxml.facts import binary_fields, elements
from tests.generate_maker import Maker
from tests.generate_tree import Node

PLACES = ((10.1, 54.2), (-93.4, 42.1), (179.9999, -17.0), (-179.99995, 66.0), (25.0, 89.98), (0.0, -89.97), (0.0, 0.0))
_PLAIN_CODES = {"A": "B", "C": "q", "D": "q", "E": "i", "F": "B", "H": "H", "I": "H"}
_OPTIONAL = ("PointUp", "PointColour", "PointHorizontalAccuracy", "PointVerticalAccuracy")


@dataclass(frozen=True)
class Spot:
    """Centre and radius (degrees of latitude) of a shape."""

    lon: float
    lat: float
    radius: float

    def at(self, angle: float, share: float) -> tuple[float, float]:
        """Return longitude and latitude at an angle (radians) and a share of the radius."""
        wide = self.radius / max(math.cos(math.radians(self.lat)), 1e-4)
        lon = self.lon + wide * share * math.cos(angle)
        return (lon + 180.0) % 360.0 - 180.0, self.lat + self.radius * share * math.sin(angle)

    def smaller(self) -> Spot:
        return Spot(self.lon, self.lat, self.radius / 2)

    def moved(self, steps: float) -> Spot:
        """Return the same shape elsewhere, towards the equator."""
        return Spot(self.lon, self.lat - math.copysign(3 * steps * self.radius, self.lat), self.radius)


class Shapes:
    """Makes geometry elements of one set."""

    def __init__(self, maker: Maker) -> None:
        self.maker = maker
        self.rng = maker.rng

    def spot(self) -> Spot:
        lon, lat = self.rng.choice(PLACES) if self.maker.has("edges of the world") else PLACES[0]
        return Spot(lon, lat, self.rng.choice([0.001, 0.0025]))

    def circle(
        self, spot: Spot, count: int, share: float = 1.0, start: float | None = None
    ) -> list[tuple[float, float]]:
        turn = self.rng.random() if start is None else start
        way = self.rng.choice([1, -1])
        return [spot.at(way * 2 * math.pi * (turn + step / count), share) for step in range(count)]

    def point(self, kind: str, lon: float, lat: float, places: int, *, carrier: tuple[str, ...], **given: str) -> Node:
        """Make a point with the optional attributes named in ``carrier`` and no other."""
        absent = {name: None for name in (*_OPTIONAL, "PointDesignator", "PointId") if name not in carrier}
        number = self.maker.values.number
        texts = {"PointNorth": number(lat, places), "PointEast": number(lon, places), "PointType": kind}
        return self.maker.element("PNT", **{**texts, "Filename": None, "Filelength": None, **absent, **given})

    def points(self, spots: Sequence[tuple[float, float]], kinds: Sequence[str], *, closed: bool = False) -> list[Node]:
        """Make consecutive points that mostly have the same attributes."""
        carrier = tuple(name for name in _OPTIONAL if self.rng.random() < 0.3)
        filled = {name: self._filled(name) for name in carrier}
        same = self.rng.random() < 0.7
        places = self.rng.choice([7, 8, 9, 12, 16])
        made = []
        for (lon, lat), kind in zip(spots, kinds, strict=True):
            if not same:
                places = self.rng.choice([6, 7, 8, 9, 10, 12, 14, 16])
            labelled = (*carrier, "PointDesignator") if self.rng.random() < 0.05 else carrier
            made.append(self.point(kind, lon, lat, places, carrier=labelled, **filled))
            filled = {name: self._filled(name) for name in carrier}
        if closed:
            made.append(Node("PNT", dict(made[0].attributes)))
        return made

    def line(self, kind: str, points: list[Node], *, named: bool = True) -> Node:
        given = {} if named else {"LineStringId": None}
        return self.maker.element("LSG", LineStringType=kind, **given).add(*points)

    def ring(self, spot: Spot, kind: str, share: float = 1.0, *, most: int = 12) -> Node:
        """Make a ring; closed from version 4 on, closed or not before."""
        spots = self.circle(spot, self.rng.randint(5, most), share)
        closed = self.maker.version >= 4 or self.rng.random() < 0.5
        if self.maker.has("binary points") and self.maker.version >= 4 and self.rng.random() < 0.4:
            return self.line(kind, [self.binary_points([*spots, spots[0]], "2")], named=False)
        return self.line(kind, self.points(spots, ["2"] * len(spots), closed=closed), named=False)

    def polygon(self, kind: str, spot: Spot, *, outer: int = 1) -> Node:
        """Make a polygon with ``outer`` outer rings, at times with holes."""
        polygon = self.maker.element("PLN", PolygonType=kind)
        for part in range(outer):
            here = spot.moved(part)
            polygon.add(self.ring(here, "1"))
            for hole in range(self.rng.choice([0, 0, 1, 2]) if self.maker.has("holes") else 0):
                side = self.rng.choice([0.4, 0.45]) * (1 if hole else -1)
                centre = here.at(0.0, side)
                polygon.add(self.ring(Spot(*centre, here.radius * 0.2), "2"))
        return polygon

    def boundaries(self, kind: str, spot: Spot) -> list[Node]:
        """Make one boundary of one or several parts, as the version has it."""
        parts = self.rng.choice([1, 1, 2, 3]) if self.maker.has("several parts") else 1
        if self.maker.version < 4:
            return [self.polygon(kind, spot, outer=parts)]
        return [self.polygon(kind, spot.moved(part)) for part in range(parts)]

    def path(self, spot: Spot, count: int) -> list[tuple[float, float]]:
        """Return an open line of ``count`` points across the shape."""
        return [spot.at(math.pi * step / max(1, count - 1), 0.5) for step in range(count)]

    def plain_line(self, kind: str, spot: Spot) -> Node:
        spots = self.path(spot, self.rng.randint(2, 9))
        if self.maker.has("binary points") and self.maker.version >= 4 and self.rng.random() < 0.4:
            return self.line(kind, [self.binary_points(spots, "2")])
        return self.line(kind, self.points(spots, [self.rng.choice(["1", "2"])] * len(spots)))

    def loose_point(self, spot: Spot) -> Node:
        """Make a point of a field with any number of digits and any attributes."""
        fact = self.maker.values
        lon, lat = spot.at(self.rng.random(), 0.5)
        given = {} if self.rng.random() < 0.7 else {"PointNorth": fact.decimal("-90.0", "90.0")}
        places = self.rng.choice([0, 1, 2, 5, 7, 9, 13, 16])
        kind = self._kind()
        carrier = tuple(name for name in (*_OPTIONAL, "PointDesignator", "PointId") if self.rng.random() < 0.5)
        carrier = (*carrier, "PointDesignator") if kind == "1" else carrier
        return self.point(kind, lon, lat, places, carrier=carrier, **given)

    def binary_points(self, spots: Sequence[tuple[float, float]], kind: str) -> Node:
        """Make a point whose coordinates, and some other values, lie in a file of their own."""
        name = self.maker.new_file("PNT")
        stored = ["C", "D"] + [key for key in "AEFHI" if self.rng.random() < 0.4]
        form = "<" + "".join(code for key, code in _PLAIN_CODES.items() if key in stored)
        fields = [field for field in binary_fields("PNT") if (field.source or "")[4:] in stored]
        records = b""
        extra = [self._raw(field.source or "", kind) for field in fields]
        for lon, lat in spots:
            known = {"PNT.C": round(lat * 1e9) * 10**7, "PNT.D": round(lon * 1e9) * 10**7}
            records += struct.pack(
                form, *(known.get(field.source or "", raw) for field, raw in zip(fields, extra, strict=True))
            )
        self.maker.files[f"{name}.BIN"] = records
        letters = {"A": "PointType", "E": _OPTIONAL[0], "F": _OPTIONAL[1], "H": _OPTIONAL[2], "I": _OPTIONAL[3]}
        empty = {letters[key]: "" for key in stored if key in letters}
        given = {"PointType": kind, "Filename": name, "PointNorth": "", "PointEast": "", **empty}
        given["Filelength"] = self.rng.choice([str(len(records)), None])
        return self.maker.element("PNT", **given, PointId=None)

    def pattern(self, spot: Spot, group: Node) -> Node:
        """Make a guidance pattern with the points that its type asks for."""
        kind = self.maker.values.code(elements()["GPN"].attributes["C"])
        pivot = kind == "4"
        way = self.rng.choice([None, "1", "2", "3", "4"])
        given: dict[str, str | None] = {"GuidancePatternPropagationDirection": way}
        given |= {"NumberOfSwathsLeft": None} if way in {"3", "4"} else {}
        given |= {"NumberOfSwathsRight": None} if way in {"2", "4"} else {}
        if not pivot:
            given |= {"GuidancePatternOptions": None, "GuidancePatternRadius": None}
        if kind == "2":
            given["GuidancePatternHeading"] = self.maker.values.decimal("0.0", "360.0")
        pattern = self.maker.element("GPN", GuidancePatternType=kind, **given)
        kinds = self._pattern_points(kind)
        spots = self.path(spot, len(kinds))
        line = self.line("5", self.points(spots, kinds), named=False)
        if way != "4" and self.rng.random() < 0.3:
            pattern.add(self.polygon(self.rng.choice(["9", "10"]), spot.smaller()))
        return group.add(pattern.add(line))

    def _pattern_points(self, kind: str) -> list[str]:
        if kind in {"3", "5"}:
            return ["6", *["9"] * self.rng.randint(0, 6), "7"]
        return {"1": ["6", "7"], "2": ["6"], "4": self.rng.choice([["8"], ["8", "6", "7"]])}[kind]

    def _kind(self) -> str:
        return self.maker.values.code(elements()["PNT"].attributes["A"])

    def _filled(self, name: str) -> str:
        return self.maker.values.of(elements()["PNT"].attributes[self.maker.letter("PNT", name)])

    def _raw(self, source: str, kind: str) -> int:
        highest = {"PNT.F": 254, "PNT.H": 65000, "PNT.I": 65000}
        if source == "PNT.E":
            return self.maker.values.integer(-(2**31), 2**31 - 1)
        return int(kind) if source == "PNT.A" else self.rng.randint(0, highest.get(source, 0))

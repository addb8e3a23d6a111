"""Shapefiles as an old display leaves them: metres, odd column names, file names in any case."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from _fields import BROAD, BROOK, HOLLOW, NARROW, NARROW_NORTH, POND
from _place import Metres, Ring, area, degrees, inset, oval
from _shapefile import LINE, POINT, POLYGON, Column, Parts, write_layer
from pyproj import Transformer

SYSTEM = (
    'PROJCS["WGS_1984_UTM_Zone_32N",GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",'
    'SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],'
    'PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],'
    'PARAMETER["Central_Meridian",9.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],'
    'UNIT["Meter",1.0]]'
)
UTM = Transformer.from_crs("EPSG:4326", "EPSG:32632", always_xy=True)


def grid_place(place: Metres) -> Metres:
    """Return easting and northing, rounded to the millimetre."""
    north, east = degrees(*place)
    x, y = UTM.transform(east, north)
    return round(x, 3), round(y, 3)


def outer(places: Ring) -> list[Metres]:
    """Return a closed clockwise ring, as outer rings are stored."""
    return [grid_place(place) for place in (places[0], *reversed(places))]


def hole(places: Ring) -> list[Metres]:
    """Return a closed counter-clockwise ring, as holes are stored."""
    return [grid_place(place) for place in (*places, places[0])]


def path(places: Ring) -> list[list[Metres]]:
    """Return a line of one part."""
    return [[grid_place(place) for place in places]]


def make_display(folder: Path) -> None:
    """Write the four layers."""
    folder.mkdir(parents=True)
    _boundaries(folder)
    _lines(folder)
    _points(folder)
    _obstacles(folder)


def _boundaries(folder: Path) -> None:
    columns = [
        Column("FLD_NM", "C", 40),
        Column("CLNT_X", "C", 30),
        Column("AR_HA", "N", 9, 2),
        Column("REC_DT", "D", 8),
        Column("SYS_ID", "N", 6),
    ]
    fields: list[tuple[str, Parts | None, float]] = [
        ("Große Breite", [outer(BROAD)], area(BROAD)),
        ('Kuhle & "Hölle"', [outer(HOLLOW), hole(POND)], area(HOLLOW) - area(POND)),
        ("Schmale Äcker", [outer(NARROW), outer(NARROW_NORTH)], area(NARROW) + area(NARROW_NORTH)),
        ("Links vom Bach", [outer(BROOK)], area(BROOK)),
        ("(nie fertig)", None, 0.0),
    ]
    rows = [
        {
            "FLD_NM": name,
            "CLNT_X": "Söderhöft",
            "AR_HA": size / 10_000,
            "SYS_ID": 100 + number,
            "REC_DT": None if parts is None else f"201604{12 + number}",
        }
        for number, (name, parts, size) in enumerate(fields)
    ]
    stems = {kind: folder / f"BOUNDARY.{kind.upper()}" for kind in ("shp", "shx", "dbf")}
    write_layer(stems, POLYGON, [parts for _, parts, _ in fields], columns, rows)
    (folder / "BOUNDARY.PRJ").write_bytes(SYSTEM.encode())


def _lines(folder: Path) -> None:
    columns = [
        Column("LN_LABEL", "C", 24),
        Column("FLD_NM", "C", 40),
        Column("PTRN", "C", 6),
        Column("SWTH_M", "N", 7, 2),
        Column("MADE_ON", "D", 8),
    ]
    bend = [(20.0 + 9 * i, 250.0 + 8 * math.sin(i / 5)) for i in range(42)]
    lines: list[tuple[str, str, str, float, list[Metres]]] = [
        ("Südkante", "Große Breite", "AB", 24.0, [(20.0, 36.0), (400.0, 46.6)]),
        ("Hang", "Große Breite", "CRV", 24.0, bend),
        ("quer", "Schmale Äcker", "AB", 3.0, [(-290.0, 20.0), (-100.0, 24.6)]),
        ("Bach", "Links vom Bach", "CRV", 24.0, [*inset(BROOK, 12.0)[2:], inset(BROOK, 12.0)[0]]),
    ]
    rows = [
        {"LN_LABEL": label, "FLD_NM": name, "PTRN": kind, "SWTH_M": width, "MADE_ON": "20170403"}
        for label, name, kind, width, _ in lines
    ]
    stems = {kind: folder / f"Lines_AB.{kind}" for kind in ("shp", "shx", "dbf")}
    write_layer(stems, LINE, [path(places) for *_, places in lines], columns, rows, encoding="utf-8")
    (folder / "Lines_AB.cpg").write_bytes(b"UTF-8")
    (folder / "Lines_AB.prj").write_bytes(SYSTEM.encode())


def _points(folder: Path) -> None:
    columns = [Column("TXT", "C", 32), Column("ICON_NO", "N", 3), Column("SEEN_ON", "D", 8)]
    flags: list[tuple[str, int, Metres]] = [
        ("Findling", 7, (150.0, 210.0)),
        ("Zufahrt", 2, (2.0, 2.0)),
        ("Nässe nach Regen", 7, (300.0, 100.0)),
        ("Brunnen", 4, (155.0, -275.0)),
    ]
    rows = [{"TXT": label, "ICON_NO": icon, "SEEN_ON": "20160511" if icon == 7 else None} for label, icon, _ in flags]
    stems = {"shp": folder / "flags.Shp", "shx": folder / "flags.Shx", "dbf": folder / "flags.Dbf"}
    write_layer(stems, POINT, [[[grid_place(place)]] for *_, place in flags], columns, rows)
    (folder / "flags.Prj").write_bytes(SYSTEM.encode())


def _obstacles(folder: Path) -> None:
    columns = [Column("OBST_NM", "C", 20), Column("HT_CM", "N", 5)]
    stones: Sequence[Ring] = [oval((150.0, 210.0), 4.0, 4.0, 8), oval((720.0, 180.0), 2.5, 3.0, 6)]
    rows = [{"OBST_NM": name, "HT_CM": height} for name, height in (("Findling", 90), ("Mast", 800))]
    stems = {kind: folder / f"Obst_old.{kind}" for kind in ("shp", "shx", "dbf")}
    write_layer(stems, POLYGON, [[outer(stone)] for stone in stones], columns, rows)

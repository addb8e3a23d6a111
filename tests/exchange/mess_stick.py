"""A stick with more than forty kinds of mess, and what is true of each; nothing of it is written by this package.

Shapefiles are written by pyogrio and then spoilt byte by byte, texts as texts, sets as XML. Every field is a rectangle
of which longitude, latitude and name are known; the farm lies in the open sea, where no field is.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import geopandas
import numpy as np
import pandas as pd
import rasterio
import shapely
from pyproj import Transformer
from rasterio import Affine

WEST, SOUTH = 7.0, 54.3
SIZE = 0.003
FIELD, POINT, LINES, LOG = {"field"}, {"point"}, {"guidance", "line"}, {"log"}


@dataclass(frozen=True)
class Truth:
    """What is true of one thing on the stick.

    Parameters
    ----------
    path : str
        Its path as the survey gives it, or that of a file that is left aside.
    kinds : set of str
        What it may be called; empty = it is no item.
    rows : int or None
    names : list of str
        Names of its fields or points, in their order; empty = not known.
    box : tuple of float or None
        West, south, east and north; None = nobody can know.
    told : str
        What has to be said of it: in a finding, as a reason, or with a guess.
    guess : set of str
        Systems of which one is the guess.
    width : float or None
        Width in metres that is recovered.
    reading : dict
        What a person says so that it is read right.
    """

    path: str
    kinds: set[str] = field(default_factory=set)
    rows: int | None = 1
    names: tuple[str, ...] = ()
    box: tuple[float, float, float, float] | None = None
    told: str = ""
    guess: frozenset[str] = frozenset()
    width: float | None = None
    reading: dict[str, object] = field(default_factory=dict)


Builder = Callable[[Path, tuple[float, float]], Truth]
KINDS: dict[str, Builder] = {}
UTM = frozenset({"EPSG:25832", "EPSG:32632"})


def mess(kind: str) -> Callable[[Builder], Builder]:
    """Register a kind of mess."""

    def keep(builder: Builder) -> Builder:
        assert kind not in KINDS
        KINDS[kind] = builder
        return builder

    return keep


def make_stick(home: Path) -> dict[str, Truth]:
    """Write the stick; return what is true of each kind of mess on it."""
    home.mkdir()
    spots = {kind: (WEST + 0.01 * (number % 8), SOUTH + 0.006 * (number // 8)) for number, kind in enumerate(KINDS)}
    return {kind: builder(home, spots[kind]) for kind, builder in KINDS.items()}


def square(at: tuple[float, float]) -> shapely.Polygon:
    return shapely.box(at[0], at[1], at[0] + SIZE, at[1] + SIZE)


def box_at(at: tuple[float, float]) -> tuple[float, float, float, float]:
    return at[0], at[1], at[0] + SIZE, at[1] + SIZE


def frame(at: tuple[float, float], crs: str = "EPSG:4326", **columns: list[object]) -> geopandas.GeoDataFrame:
    columns = columns or {"NAME": ["Koppel"]}
    return geopandas.GeoDataFrame(columns, geometry=[square(at)], crs="EPSG:4326").to_crs(crs)


def shapefile(path: Path, rows: geopandas.GeoDataFrame, without: str = "", **more: object) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    rows.to_file(path, engine="pyogrio", **more)
    for ending in without.split():
        path.with_suffix(ending).unlink()
    return path


def geojson(at: tuple[float, float], name: object = "Koppel", **more: object) -> str:
    shape = shapely.geometry.mapping(square(at))
    feature = {"type": "Feature", "properties": {"name": name}, "geometry": shape}
    return json.dumps({"type": "FeatureCollection", "features": [feature], **more}, ensure_ascii=False)


def text(path: Path, content: str, encoding: str = "utf-8") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.encode(encoding))
    return path


@mess("shapefile without .prj, in metres")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "no prj" / "a.shp", frame(at, "EPSG:25832"), ".prj")
    return Truth("no prj/a.shp", FIELD, guess=UTM, told="system", names=("Koppel",), reading={"crs": "EPSG:25832"})


@mess("endings in capitals")
def _(home: Path, at: tuple[float, float]) -> Truth:
    made = shapefile(home / "caps" / "b.shp", frame(at, "EPSG:25832"))
    for part in made.parent.iterdir():
        part.rename(part.with_suffix(part.suffix.upper()))
    return Truth("caps/b.SHP", FIELD, names=("Koppel",), box=box_at(at))


@mess("letters of windows-1252 without .cpg")
def _(home: Path, at: tuple[float, float]) -> Truth:
    made = shapefile(home / "letters" / "c.shp", frame(at, NAME=["Große Höhe"]), ".cpg", encoding="ISO-8859-1")
    table = bytearray(made.with_suffix(".dbf").read_bytes())
    table[29] = 0
    made.with_suffix(".dbf").write_bytes(bytes(table))
    return Truth("letters/c.shp", FIELD, names=("Große Höhe",), box=box_at(at))


@mess(".cpg that lies")
def _(home: Path, at: tuple[float, float]) -> Truth:
    made = shapefile(home / "lies" / "d.shp", frame(at, NAME=["Süderfeld"]), encoding="ISO-8859-1")
    made.with_suffix(".cpg").write_text("UTF-8", encoding="ascii")
    return Truth("lies/d.shp", FIELD, names=("Süderfeld",), box=box_at(at), told="guess")


@mess("numbers as names")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "numbers" / "e.shp", frame(at, FIELD_NAME=["0017"]))
    return Truth("numbers/e.shp", FIELD, names=("0017",), box=box_at(at))


@mess("names that repeat and names that are blank")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapes = [square((at[0] + dx, at[1])) for dx in (0.0, 0.0033, 0.0066)]
    rows = geopandas.GeoDataFrame({"NAME": ["Ost", "Ost", "  "]}, geometry=shapes, crs="EPSG:4326")
    shapefile(home / "repeated" / "f.shp", rows)
    box = (at[0], at[1], at[0] + 0.0066 + SIZE, at[1] + SIZE)
    return Truth("repeated/f.shp", FIELD, rows=3, box=box)


@mess("index missing")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "no shx" / "g.shp", frame(at), ".shx")
    return Truth("no shx/g.shp", FIELD, names=("Koppel",), box=box_at(at), told="index")


@mess("table missing")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "no dbf" / "h.shp", frame(at), ".dbf .cpg")
    return Truth("no dbf/h.shp", FIELD, box=box_at(at), told="attribute table")


@mess("main file cut off")
def _(home: Path, at: tuple[float, float]) -> Truth:
    made = shapefile(home / "cut" / "i.shp", frame(at))
    made.write_bytes(made.read_bytes()[:120])
    return Truth("cut/i.shp", FIELD | {"other"}, rows=None, told="cut off")


@mess("row without a shape")
def _(home: Path, at: tuple[float, float]) -> Truth:
    rows = geopandas.GeoDataFrame({"NAME": ["Da", "Fort"]}, geometry=[square(at), None], crs="EPSG:4326")
    shapefile(home / "null" / "j.shp", rows)
    return Truth("null/j.shp", FIELD, rows=2, names=("Da",), box=box_at(at))


@mess("another national grid")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "national" / "k.shp", frame(at, "EPSG:3034"))
    return Truth("national/k.shp", FIELD, names=("Koppel",), box=box_at(at))


@mess("neighbouring zone")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "zone 31" / "l.shp", frame(at, "EPSG:25831"))
    return Truth("zone 31/l.shp", FIELD, names=("Koppel",), box=box_at(at))


@mess("axes swapped")
def _(home: Path, at: tuple[float, float]) -> Truth:
    ring = [[lat, lon] for lon, lat in square(at).exterior.coords]
    shape = {"type": "Polygon", "coordinates": [ring]}
    feature = {"type": "Feature", "properties": {"name": "Quer"}, "geometry": shape}
    text(home / "swapped.geojson", json.dumps({"type": "FeatureCollection", "features": [feature]}))
    return Truth("swapped.geojson", FIELD, told="swapped", guess=frozenset({"swapped:EPSG:4326"}))


@mess("GeoJSON in metres with the old member for its system")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shape = shapely.geometry.mapping(frame(at, "EPSG:25832").geometry[0])
    feature = {"type": "Feature", "properties": {"name": "Metermaß"}, "geometry": shape}
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::25832"}}
    text(home / "metres.geojson", json.dumps({"type": "FeatureCollection", "crs": crs, "features": [feature]}))
    return Truth("metres.geojson", FIELD, names=("Metermaß",), box=box_at(at))


@mess("byte order mark")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "mark.geojson", geojson(at, "Häuschen"), "utf-8-sig")
    return Truth("mark.geojson", FIELD, names=("Häuschen",), box=box_at(at))


@mess("a feature a line")
def _(home: Path, at: tuple[float, float]) -> Truth:
    (feature,) = json.loads(geojson(at, "Zeile"))["features"]
    text(home / "lines.geojsonl", json.dumps(feature) + "\n")
    return Truth("lines.geojsonl", FIELD, names=("Zeile",), box=box_at(at))


@mess("GeoJSON called something else")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "export.dat", geojson(at, "Verkleidet"))
    return Truth("export.dat", FIELD, names=("Verkleidet",), box=box_at(at))


@mess("polygon with a hole")
def _(home: Path, at: tuple[float, float]) -> Truth:
    ring = [(x, y) for x, y in square((at[0] + 0.001, at[1] + 0.001)).exterior.coords]
    hole = [(at[0] + 0.001 + (x - at[0] - 0.001) / 3, at[1] + 0.001 + (y - at[1] - 0.001) / 3) for x, y in ring]
    shape = shapely.Polygon(square(at).exterior.coords, [hole])
    rows = geopandas.GeoDataFrame({"NAME": ["Loch"]}, geometry=[shape], crs="EPSG:4326")
    rows.to_file(home / "hole.gpkg", layer="felder", engine="pyogrio")
    return Truth("hole.gpkg/felder", FIELD, names=("Loch",), box=box_at(at))


@mess("GeoPackage of two layers")
def _(home: Path, at: tuple[float, float]) -> Truth:
    frame(at).to_file(home / "two.gpkg", layer="parcels", engine="pyogrio")
    rows = geopandas.GeoDataFrame({"NAME": ["Tor"]}, geometry=[square(at).centroid], crs="EPSG:4326")
    rows.to_file(home / "two.gpkg", layer="gates", engine="pyogrio", mode="a")
    return Truth("two.gpkg/gates", POINT, names=("Tor",))


@mess("KML of two folders")
def _(home: Path, at: tuple[float, float]) -> Truth:
    x, y = at
    line = f"<LineString><coordinates>{x},{y} {x + SIZE},{y}</coordinates></LineString>"
    place = f"<Point><coordinates>{x},{y}</coordinates></Point>"
    parts = (
        f"<Folder><name>{name}</name><Placemark><name>{name}1</name>{shape}</Placemark></Folder>"
        for name, shape in (("Spuren", line), ("Tore", place))
    )
    text(home / "two.kml", f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>{"".join(parts)}</Document></kml>')
    return Truth("two.kml/Spuren", LINES, box=(x, y, x + SIZE, y))


@mess("KMZ")
def _(home: Path, at: tuple[float, float]) -> Truth:
    ring = " ".join(f"{x},{y}" for x, y in square(at).exterior.coords)
    ring = f"<outerBoundaryIs><LinearRing><coordinates>{ring}</coordinates></LinearRing></outerBoundaryIs>"
    shape = f"<Polygon>{ring}</Polygon>"
    page = f'<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>Z</name>{shape}</Placemark></kml>'
    with zipfile.ZipFile(home / "z.kmz", "w") as archive:
        archive.writestr("doc.kml", page)
    return Truth("z.kmz", FIELD, names=("Z",), box=box_at(at))


@mess("GPX places")
def _(home: Path, at: tuple[float, float]) -> Truth:
    place = f'<wpt lat="{at[1]}" lon="{at[0]}"><name>Stein</name></wpt>'
    text(home / "places.gpx", f'<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1">{place}</gpx>')
    return Truth("places.gpx", POINT, names=("Stein",), box=(at[0], at[1], at[0], at[1]))


@mess("GPX track with times")
def _(home: Path, at: tuple[float, float]) -> Truth:
    points = "".join(
        f'<trkpt lat="{at[1] + second * 2e-5:.7f}" lon="{at[0]}"><time>2024-05-01T10:00:{second:02d}Z</time></trkpt>'
        for second in range(30)
    )
    track = f"<trk><name>Fahrt</name><trkseg>{points}</trkseg></trk>"
    text(home / "track.gpx", f'<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1">{track}</gpx>')
    return Truth("track.gpx", LOG, rows=30, box=(at[0], at[1], at[0], round(at[1] + 29 * 2e-5, 7)))


def _points(at: tuple[float, float]) -> list[tuple[float, float]]:
    return [(at[0] + 0.0004 * number, at[1] + 0.0003 * number**2 / 10) for number in range(6)]


def _box(at: tuple[float, float]) -> tuple[float, float, float, float]:
    xs, ys = zip(*_points(at), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@mess("semicolons and decimal commas")
def _(home: Path, at: tuple[float, float]) -> Truth:
    rows = (f"{lon:.7f};{lat:.7f};P{number}" for number, (lon, lat) in enumerate(_points(at)))
    text(home / "commas.csv", "Länge;Breite;Name\n" + "\n".join(rows).replace(".", ","))
    return Truth("commas.csv", POINT, rows=6, names=tuple(f"P{number}" for number in range(6)), box=_box(at))


@mess("degrees and minutes with letters")
def _(home: Path, at: tuple[float, float]) -> Truth:
    def angle(value: float, letter: str) -> str:
        return f"{letter} {int(value)}° {(value - int(value)) * 60:.6f}'"

    rows = (f"{angle(lat, 'N')},{angle(lon, 'E')},P{number}" for number, (lon, lat) in enumerate(_points(at)))
    text(home / "minutes.csv", "lat,lon,name\n" + "\n".join(rows))
    return Truth("minutes.csv", POINT, rows=6, box=_box(at))


@mess("a text in windows-1252")
def _(home: Path, at: tuple[float, float]) -> Truth:
    rows = (f"{lon:.7f},{lat:.7f},Größe {number}" for number, (lon, lat) in enumerate(_points(at)))
    text(home / "ansi.csv", "lon,lat,name\n" + "\n".join(rows), "cp1252")
    return Truth(
        "ansi.csv", POINT, rows=6, names=tuple(f"Größe {number}" for number in range(6)), box=_box(at), told="guess"
    )


@mess("tabs")
def _(home: Path, at: tuple[float, float]) -> Truth:
    rows = (f"P{number}\t{lat:.7f}\t{lon:.7f}" for number, (lon, lat) in enumerate(_points(at)))
    text(home / "tabs.tsv", "name\tlatitude\tlongitude\n" + "\n".join(rows))
    return Truth("tabs.tsv", POINT, rows=6, box=_box(at))


@mess("a text in metres without a system")
def _(home: Path, at: tuple[float, float]) -> Truth:
    to = Transformer.from_crs("EPSG:4326", "EPSG:25832", always_xy=True)
    rows = ("{:.3f};{:.3f};P".format(*to.transform(*place)) for place in _points(at))
    text(home / "east.csv", "Rechtswert;Hochwert;Name\n" + "\n".join(rows))
    return Truth("east.csv", POINT, rows=6, guess=UTM, told="system")


@mess("shapes as text in a table")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "wkt.csv", f'name,wkt\nGeschrieben,"{square(at).wkt}"\nAuch,"{square((at[0] + 0.004, at[1])).wkt}"\n')
    return Truth("wkt.csv", FIELD, rows=2, names=("Geschrieben", "Auch"), box=(*at, at[0] + 0.004 + SIZE, at[1] + SIZE))


@mess("a log as a table")
def _(home: Path, at: tuple[float, float]) -> Truth:
    rows = (f"{at[0]:.7f},{at[1] + 2e-5 * s:.7f},2024-05-01 10:{s // 60:02d}:{s % 60:02d},7.2" for s in range(90))
    text(home / "log.csv", "lon,lat,time,speed_kmh\n" + "\n".join(rows))
    return Truth("log.csv", LOG, rows=90, box=(at[0], at[1], at[0], at[1] + 89 * 2e-5))


@mess("a table without coordinates")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "prices.csv", "crop,price\nwheat,210\nrye,180\n")
    return Truth("prices.csv", told="coordinates")


@mess("NMEA of mixed talkers with broken lines")
def _(home: Path, at: tuple[float, float]) -> Truth:
    def sentence(second: int) -> str:
        lat, lon = at[1] + 2e-5 * second, at[0]
        angles = f"{int(lat):02d}{(lat % 1) * 60:09.6f},N,{int(lon):03d}{(lon % 1) * 60:09.6f},E"
        body = f"{('GP', 'GN')[second % 2]}GGA,1000{second:02d}.00,{angles},4,12,0.8,41.5,M,40.0,M,1.0,0000"
        check = 0
        for letter in body:
            check ^= ord(letter)
        return f"${body}*{check:02X}"

    lines = [sentence(second) for second in range(40)]
    lines[10:10] = ["$GPGGA,1000", "\x00\x07garbage", lines[3][:-2] + "00"]
    text(home / "drive.nmea", "\r\n".join(lines) + "\r\n", "latin-1")
    return Truth("drive.nmea", LOG, rows=40, box=(at[0], at[1], at[0], at[1] + 39 * 2e-5))


@mess("DXF")
def _(home: Path, at: tuple[float, float]) -> Truth:
    x, y = at
    pairs = [
        "0",
        "SECTION",
        "2",
        "ENTITIES",
        "0",
        "LINE",
        "8",
        "Spuren",
        "10",
        f"{x}",
        "20",
        f"{y}",
        "30",
        "0",
        "11",
        f"{x + SIZE}",
        "21",
        f"{y + SIZE}",
        "31",
        "0",
        "0",
        "ENDSEC",
        "0",
        "EOF",
    ]
    text(home / "plan.dxf", "\n".join(pairs) + "\n")
    return Truth("plan.dxf/Spuren", LINES, box=box_at(at))


@mess("FlatGeobuf")
def _(home: Path, at: tuple[float, float]) -> Truth:
    frame(at).to_file(home / "flat.fgb", driver="FlatGeobuf", engine="pyogrio")
    return Truth("flat.fgb", FIELD, names=("Koppel",), box=box_at(at))


@mess("GeoParquet")
def _(home: Path, at: tuple[float, float]) -> Truth:
    frame(at).to_parquet(home / "columns.parquet")
    return Truth("columns.parquet", FIELD, names=("Koppel",), box=box_at(at))


def _zipped(folder: Path, archive: Path | io.BytesIO, below: str = "") -> None:
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as made:
        for part in sorted(folder.iterdir()):
            made.write(part, f"{below}{part.name}")
    shutil.rmtree(folder)


@mess("zipped shapefile")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "tmp" / "m.shp", frame(at, "EPSG:25832"))
    _zipped(home / "tmp", home / "fields.zip")
    return Truth("fields.zip/m.shp", FIELD, names=("Koppel",), box=box_at(at))


@mess("zip in a zip, in folders")
def _(home: Path, at: tuple[float, float]) -> Truth:
    inner = io.BytesIO()
    shapefile(home / "tmp" / "n.shp", frame(at, "EPSG:25832"))
    _zipped(home / "tmp", inner, "deep/")
    with zipfile.ZipFile(home / "old.zip", "w") as archive:
        archive.writestr("2019/inner.zip", inner.getvalue())
    return Truth("old.zip/2019/inner.zip/deep/n.shp", FIELD, names=("Koppel",), box=box_at(at))


@mess("backslashes in an archive")
def _(home: Path, at: tuple[float, float]) -> Truth:
    shapefile(home / "tmp" / "o.shp", frame(at))
    _zipped(home / "tmp", home / "windows.zip", "EXPORT\\")
    return Truth("windows.zip/EXPORT/o.shp", FIELD, names=("Koppel",), box=box_at(at))


@mess("damaged archive")
def _(home: Path, at: tuple[float, float]) -> Truth:
    (home / "damaged.zip").write_bytes(b"PK\3\4 nothing more")
    return Truth("damaged.zip", told="damaged zip archive")


@mess("archive that unpacks to far too much")
def _(home: Path, at: tuple[float, float]) -> Truth:
    with zipfile.ZipFile(home / "bomb.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.csv", b"0" * (80 << 20))
    return Truth("bomb.zip", told="would unpack to")


@mess("empty file")
def _(home: Path, at: tuple[float, float]) -> Truth:
    (home / "nothing.bin").touch()
    return Truth("nothing.bin", told="empty")


@mess("empty file with the name of a format")
def _(home: Path, at: tuple[float, float]) -> Truth:
    (home / "nothing.gpx").touch()
    return Truth("nothing.gpx", told="empty")


@mess("XML that breaks off")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "broken.gpx", '<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="54" lon=')
    return Truth("broken.gpx", told="")


@mess("identical copy")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "twice.geojson", geojson(at, "Doppelt"))
    text(home / "Kopie von twice.geojson", geojson(at, "Doppelt"))
    return Truth("Kopie von twice.geojson", FIELD, box=box_at(at), told="copy of twice.geojson")


@mess("dated copy")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "season.geojson", geojson(at, "Neu"))
    text(home / "backup 2021-04-30" / "season.geojson", geojson(at, "Neu", note="as it was"))
    return Truth("backup 2021-04-30/season.geojson", FIELD, box=box_at(at), told="older copy of season.geojson")


@mess("litter of operating systems")
def _(home: Path, at: tuple[float, float]) -> Truth:
    for name in ("._twice.geojson", ".DS_Store", "Thumbs.db", "System Volume Information/x.dat"):
        text(home / name, "\0")
    return Truth(".DS_Store")


@mess("link that leads in a circle")
def _(home: Path, at: tuple[float, float]) -> Truth:
    os.symlink(home, home / "circle", target_is_directory=True)
    return Truth("circle", told="link")


@mess("picture and paper")
def _(home: Path, at: tuple[float, float]) -> Truth:
    (home / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0" + bytes(range(256)))
    return Truth("photo.jpg", told="no format that is read")


@mess("table of a shapefile that is gone")
def _(home: Path, at: tuple[float, float]) -> Truth:
    made = shapefile(home / "gone" / "p.shp", frame(at))
    made.unlink()
    return Truth("gone/p.dbf", told=".shp file that it belongs to is missing")


@mess("raster")
def _(home: Path, at: tuple[float, float]) -> Truth:
    step = SIZE / 10
    place = Affine(step, 0.0, at[0], 0.0, -step, at[1] + SIZE)
    with rasterio.open(home / "rates.tif", "w", "GTiff", 10, 10, 1, "EPSG:4326", place, "float32") as file:
        file.write(np.full((1, 10, 10), 180.0, dtype=np.float32))
    return Truth("rates.tif", {"ratemap"}, rows=100, box=box_at(at))


@mess("polygon that crosses itself")
def _(home: Path, at: tuple[float, float]) -> Truth:
    x, y = at
    ring = [(x, y), (x + SIZE, y + SIZE), (x + SIZE, y), (x, y + SIZE), (x, y)]
    feature = {
        "type": "Feature",
        "properties": {"name": "Schleife"},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    text(home / "bow.geojson", json.dumps({"type": "FeatureCollection", "features": [feature]}))
    return Truth("bow.geojson", FIELD | {"area"}, box=box_at(at))


@mess("task data set deep in an archive")
def _(home: Path, at: tuple[float, float]) -> Truth:
    points = "".join(f'<PNT A="2" C="{y:.7f}" D="{x:.7f}"/>' for x, y in square(at).exterior.coords)
    page = (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1">'
        f'<PFD A="PFD1" C="Altes Land" D="0"><PLN A="1"><LSG A="1">{points}</LSG></PLN></PFD></ISO11783_TaskData>'
    )
    with zipfile.ZipFile(home / "season 2018.zip", "w") as archive:
        archive.writestr("A/B/TASKDATA/TASKDATA.XML", page)
    return Truth("season 2018.zip/A/B/TASKDATA", {"taskdata"}, rows=None, names=("Altes Land",), box=box_at(at))


@mess("coverage as slivers with a width")
def _(home: Path, at: tuple[float, float]) -> Truth:
    to = Transformer.from_crs("EPSG:4326", "EPSG:25832", always_xy=True)
    x, y = to.transform(*at)
    shapes = [
        shapely.box(x + 12.0 * run, y + 2.0 * step, x + 12.0 * run + 12.0, y + 2.0 * step + 2.0)
        for run in range(4)
        for step in range(40)
    ]
    rows = pd.DataFrame({"WIDTH_M": np.full(160, 12.0), "SPEED": np.full(160, 7.2)})
    shapefile(home / "coverage" / "q.shp", geopandas.GeoDataFrame(rows, geometry=shapes, crs="EPSG:25832"))
    return Truth("coverage/q.shp", {"swath"}, rows=160, width=12.0)


@mess("no letters of one page")
def _(home: Path, at: tuple[float, float]) -> Truth:
    text(home / "Łąka ß (1) [alt].geojson", geojson(at, "Łąka"))
    return Truth("Łąka ß (1) [alt].geojson", FIELD, names=("Łąka",), box=box_at(at))


@mess("tree of many folders")
def _(home: Path, at: tuple[float, float]) -> Truth:
    path = "/".join(["t"] * 40) + "/tief.geojson"
    text(home / path, geojson(at, "Tief"))
    return Truth(path, FIELD, names=("Tief",), box=box_at(at))

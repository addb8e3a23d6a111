"""The kinds of files that are fuzzed, and which of them share a process."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np
import rasterio
from rasterio import Affine

import taskdata
from tests.damaged import FILES, RECORDS, write_set
from tests.formats import raw_layers, test_dxf
from tests.fuzz import changes, judges, tables
from tests.fuzz.kinds import Files, Kind, packed
from tests.samples import SAMPLES

MAIN, RECORD = "TASKDATA/TASKDATA.XML", 15
SET: Files = {f"TASKDATA/{name}": content for name, content in FILES.items()} | {
    "TASKDATA/TLG00001.BIN": RECORDS[: 4 * RECORD],
    MAIN: FILES["TASKDATA.XML"].replace(b'B="600"', b'B="60"'),
}
LINKED = SET[MAIN].replace(b"<DVC ", b'<AFE A="LINKLIST.XML" B="1" C="" D="1"/>\n  <DVC ', 1)
LINKS = b"""<?xml version="1.0" encoding="UTF-8"?>
<ISO11783LinkListFile VersionMajor="4" VersionMinor="3" DataTransferOrigin="1">
  <LGP A="LGP1" B="1"><LNK A="PFD1" B="{0b4b8c4e-6d2a-4c1c-8f0e-2a5d7f1c9e01}"/></LGP>
  <LGP A="LGP2" B="3" E="https://data.example/id/"><LNK A="TSK1" B="koppel" C="Lange Koppel"/></LGP>
</ISO11783LinkListFile>
"""
MAPPING = b"""[[item]]
file = "*.csv"
role = "point"
columns = { name = "Name", width = ["Breite"] }
units = { width = "m" }
crs = "EPSG:4326"
encoding = "cp1252"
"""
PROFILE = b"""[boom.sections-and-width]
difference = 0.05

[field.far-from-boundary]
distance = 500.0
"""
RECEIVER = b"""[receiver]
name = "Kabine"
versions = [3, 4]

[limits]
main_file_bytes = 100000
points_in_ring = 4
"""


def part(name: str, judge: Callable[[Path], None] = judges.any_set, change: changes.Change = changes.plain) -> Kind:
    """Return the kind of one file of a small set, everything else beside it."""
    path = f"TASKDATA/{name}"
    label = {"TASKDATA.XML": "main", "CTP00001.XML": "external", "GRD00001.BIN": "grid", "PNT00001.BIN": "points"}[name]
    return Kind(label, lambda folder: [SET], judge, path, "TASKDATA", SET, change)


def _log(folder: Path) -> list[Files]:
    sound = {name: SET[f"TASKDATA/{name}"] for name in ("TLG00001.XML", "TLG00001.BIN")}
    header = b'<TIM A="" D="4"><PTN A="" B="" C="" D="" E="" H="" I=""/>'
    header += b'<DLV A="0001" B="" C="DET2"/><DLV A="00A1" B="" C="DET2"/></TIM>'
    position = RECORDS[:14]
    wide = (
        position + (1).to_bytes(4, "little") + b"\4" + bytes(8) + b"\2\0" + (7).to_bytes(4, "little") + b"\1" + bytes(4)
    )
    more = {"TLG00001.XML": header, "TLG00001.BIN": wide * 2}
    return [sound, more]


def _in_taskdata(make: Callable[[Path], list[Files]]) -> Callable[[Path], list[Files]]:
    return lambda folder: [{f"TASKDATA/{name}": content for name, content in files.items()} for files in make(folder)]


def _archives(folder: Path) -> list[Files]:
    inner = packed(SET)
    return [{"set.zip": inner}, {"set.zip": packed({"inner.zip": inner, "felder.geojson": b"{}"})}]


def layers_of(form: str, target: str) -> Callable[[Path], Iterator[Files]]:
    """Return what makes the files of a format that the program itself writes of a small set, one layer each."""

    def made(folder: Path) -> Iterator[Files]:
        data = taskdata.read(write_set(folder / "stick", {name[9:]: content for name, content in SET.items()}))
        taskdata.write(data, folder / "layers", to=form)
        for path in sorted((folder / "layers").iterdir()):
            if path.stat().st_size < 1 << 14:
                yield {target: path.read_bytes()}

    return made


def raw(form: str, suffix: str) -> Callable[[Path], list[Files]]:
    """Return what makes layers of other programs: polygons, lines and points."""

    def made(folder: Path) -> list[Files]:
        square, found = [raw_layers.SQUARE], []
        rows = [("Polygon", [square, square]), ("LineString", [raw_layers.SQUARE[:3]]), ("Point", [[10.0, 54.0]])]
        for kind, shapes in rows:
            if form == "shapefile" and kind == "Point":
                continue
            place = folder / kind
            place.mkdir()
            path = raw_layers.layer(form, place, kind, *shapes)
            several = form == "shapefile"
            files = {f"rows{item.suffix}": item.read_bytes() for item in place.iterdir()}
            found.append(files if several else {f"rows{suffix}": path.read_bytes()})
        return found

    return made


def both(*makers: Callable[[Path], Sequence[Files] | Iterator[Files]]) -> Callable[[Path], list[Files]]:
    """Return what makes the contents of several makers, a folder each."""

    def made(folder: Path) -> list[Files]:
        found: list[Files] = []
        for number, maker in enumerate(makers):
            (folder / str(number)).mkdir()
            found += maker(folder / str(number))
        return found

    return made


def sample(path: str, name: str, lines: int = 12) -> Callable[[Path], list[Files]]:
    """Return what takes the first lines of a sample."""
    return lambda folder: [{name: b"".join((SAMPLES / path).read_bytes().splitlines(keepends=True)[:lines])}]


def fixed(name: str, *contents: bytes) -> Callable[[Path], list[Files]]:
    """Return contents that are written down here."""
    return lambda folder: [{name: content} for content in contents]


def _shapefiles(folder: Path) -> list[Files]:
    names = ("felder.shp", "felder.dbf", "felder.shx")
    export = SAMPLES / "mixed-stick" / "export"
    sample_files = {f"rows{Path(name).suffix}": (export / name).read_bytes() for name in names}
    return [*raw("shapefile", ".shp")(folder), sample_files]


def _carried(form: str) -> Callable[[Path], list[Files]]:
    """Return what makes the layers of a set with the tables that carry the rest of it."""

    def made(folder: Path) -> list[Files]:
        data = taskdata.read(write_set(folder / "stick", {name[9:]: content for name, content in SET.items()}))
        done = folder / "layers"
        taskdata.write(data, done, to=form, raw=True)
        keep = ("carried", "fields", "guidance", "treatment", "sidecar", "log_records")
        return [
            {
                path.name: path.read_bytes()
                for path in done.iterdir()
                if path.name.startswith(keep) or "sidecar" in path.name
            }
        ]

    return made


def _geotiff(folder: Path) -> list[Files]:
    found: list[Files] = []
    for number, (kind, options) in enumerate({"uint8": {}, "float32": {"nodata": -1.0, "compress": "deflate"}}.items()):
        path = folder / f"{number}.tif"
        place = Affine(10.0, 0.0, 500_000.0, 0.0, -10.0, 6_020_000.0)
        size = {"driver": "GTiff", "width": 6, "height": 5, "count": 1 + number, "dtype": kind}
        with rasterio.open(path, "w", crs="EPSG:32632", transform=place, **size, **options) as file:
            file.write(np.arange(30 * (1 + number), dtype=kind).reshape(-1, 5, 6))
        found.append({"rates.tif": path.read_bytes()})
    return found


def layer(
    name: str, seeds: Callable[[Path], Sequence[Files]], file: str, change: changes.Change, **more: object
) -> Kind:
    """Return the kind of a file with layers."""
    return Kind(name, seeds, judges.any_layers, file, file, {}, change, **more)  # type: ignore[arg-type]


def settings(name: str, content: bytes, judge: Callable[[Path], None]) -> Kind:
    """Return the kind of a file of settings."""
    file = f"{name}.toml"
    return Kind(name, fixed(file, content), judge, file, file, {}, changes.lines)


GEOJSON = both(
    raw("geojson", ".geojson"),
    layers_of("geojson", "rows.geojson"),
    sample("rates/spraying.geojson", "rows.geojson", 99),
)
CSV = both(
    layers_of("csv", "rows.csv"),
    sample("receiver/mowing.csv", "rows.csv"),
    sample("rates/lime.csv", "rows.csv"),
)
KML = both(layers_of("kml", "rows.kml"), sample("mixed-stick/spur.kml", "rows.kml"))
DXF = fixed("rows.dxf", test_dxf.text(test_dxf.ALL), test_dxf.text([test_dxf.LINE]))
PARQUET = both(raw("parquet", ".parquet"), layers_of("parquet", "rows.parquet"))
LINK_LIST = Kind(
    "linklist",
    fixed("TASKDATA/LINKLIST.XML", LINKS),
    judges.any_set,
    "TASKDATA/LINKLIST.XML",
    "TASKDATA",
    {**SET, MAIN: LINKED},
    changes.xml,
)
FLATGEOBUF = both(raw("flatgeobuf", ".fgb"), layers_of("flatgeobuf", "rows.fgb"))
KINDS = (
    part("TASKDATA.XML", change=changes.xml),
    part("CTP00001.XML", change=changes.xml),
    Kind("log", _in_taskdata(_log), judges.any_set, "", "TASKDATA", SET, changes.members),
    part("GRD00001.BIN"),
    part("PNT00001.BIN"),
    LINK_LIST,
    Kind("zip", _archives, judges.any_set, "set.zip", "set.zip", {}, changes.archives),
    layer("geojson", GEOJSON, "rows.geojson", changes.jsons),
    layer("shapefile", _shapefiles, "", changes.members),
    layer("gpkg", raw("gpkg", ".gpkg"), "rows.gpkg", tables.geopackage, most=1 << 18),
    layer("parquet", PARQUET, "rows.parquet", tables.parquet),
    layer("flatgeobuf", FLATGEOBUF, "rows.fgb", changes.plain),
    layer("kml", KML, "rows.kml", changes.xml),
    layer("kmz", layers_of("kmz", "rows.kmz"), "rows.kmz", changes.archives),
    layer("gpx", layers_of("gpx", "rows.gpx"), "rows.gpx", changes.xml),
    layer("dxf", DXF, "rows.dxf", changes.lines),
    layer("csv", CSV, "rows.csv", changes.lines),
    layer("nmea", sample("receiver/mowing.nmea", "rows.nmea"), "rows.nmea", changes.nmea),
    Kind("geotiff", _geotiff, judges.any_rate_map, "rates.tif", "rates.tif"),
    settings("mapping", MAPPING, judges.any_mapping),
    settings("profile", PROFILE, judges.any_profile),
    settings("receiver", RECEIVER, judges.any_receiver),
    layer("carried", both(_carried("geojson"), _carried("shapefile")), "", changes.members),
)
GROUPS: dict[str, tuple[str, ...]] = {
    "set": ("main", "external", "linklist"),
    "binary": ("log", "grid", "points"),
    "archive": ("zip", "kmz"),
    "json": ("geojson", "carried"),
    "shapes": ("shapefile", "flatgeobuf"),
    "columns": ("parquet", "gpkg"),
    "markup": ("kml", "gpx"),
    "text": ("csv", "nmea", "dxf"),
    "settings": ("mapping", "profile", "receiver", "geotiff"),
}
"""Kinds that share a process in a short run; the first byte of an input says which one it is."""


def kinds_of(name: str) -> tuple[Kind, ...]:
    """Return the kinds of a group, or the one of that name."""
    wanted = GROUPS.get(name, (name,))
    return tuple(kind for kind in KINDS if kind.name in wanted)

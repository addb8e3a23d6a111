"""Which GIS format a source is in, told by its content; by its name only where the content says nothing."""

from __future__ import annotations

import re
from pathlib import Path

from taskdata.formats.drivers import sidecar
from taskdata.formats.drivers.geojson_read import SUFFIXES as GEOJSON_SUFFIXES
from taskdata.formats.drivers.geojson_text import GEOMETRIES
from taskdata.formats.drivers.shapefile_parts import FILE_CODE
from taskdata.formats.drivers.text_encoding import read_text
from taskdata.litter import entries

_HEAD = 65_536
_SQLITE = b"SQLite format 3\0"
_APPLICATION_IDS = (b"GPKG", b"GP10", b"GP11")
_PARQUET = b"PAR1"
_GEOJSON = re.compile(r'"type"\s*:\s*"(FeatureCollection|Feature|' + "|".join(GEOMETRIES) + r')"|"features"\s*:\s*\[')
_BY_SUFFIX = {".shp": "shapefile", ".geojson": "geojson", ".gpkg": "gpkg", ".parquet": "parquet"}


def detect(path: Path | str) -> str | None:
    """Return ``geojson``, ``shapefile``, ``gpkg``, ``parquet``, or None for anything else.

    Parameters
    ----------
    path : path
        A file, or a folder of layers; folders inside it do not count. A damaged or empty file is told by its suffix,
        so that reading it can say what is wrong.
    """
    source = Path(path)
    if source.is_file():
        return _file(source)
    return _folder(source) if source.is_dir() else None


def _file(path: Path) -> str | None:
    with path.open("rb") as file:
        head = file.read(_HEAD)
    return _content(head) or _BY_SUFFIX.get(path.suffix.lower())


def _content(head: bytes) -> str | None:
    if head.startswith(_SQLITE):
        return "gpkg" if head[68:72] in _APPLICATION_IDS or b"gpkg_contents" in head else None
    if head.startswith(_PARQUET):
        return "parquet"
    if head.startswith(FILE_CODE.to_bytes(4, "big")) and head[28:32] == (1000).to_bytes(4, "little"):
        return "shapefile"
    text = _start(head).lstrip(" \t\r\n\x1e")
    return "geojson" if text.startswith("{") and _GEOJSON.search(text) else None


def _start(head: bytes) -> str:
    """Return the beginning of a file as text; a character that was cut through at its end does not count."""
    try:
        return read_text(head[: len(head) - len(head) % 4]).text
    except ValueError:
        return ""


def _folder(path: Path) -> str | None:
    files = [item for item in entries(path) if item.is_file()]
    if any(item.suffix.lower() == ".shp" or item.name == sidecar.NAME for item in files):
        return "shapefile"
    if any(item.suffix.lower() in GEOJSON_SUFFIXES and _file(item) == "geojson" for item in files):
        return "geojson"
    return "parquet" if any(item.suffix.lower() == ".parquet" for item in files) else None

"""How the content of a file tells its format."""

from __future__ import annotations

import re
from collections.abc import Callable

from taskdata.file_formats.text_encoding import read_text

HEAD = 65_536
"""How many bytes from the beginning of a file are looked at."""

SHAPEFILE_CODE = 9994
"""File code at the beginning of a shapefile, most significant byte first (ESRI Shapefile Technical Description)."""

ZIP_MARK = b"PK\x03\x04"
"""How a zip archive begins (APPNOTE of the zip format, section 4.3.7)."""

DXF_BINARY = b"AutoCAD Binary DXF\r\n\x1a\0"
"""How a binary DXF begins."""

_SQLITE = b"SQLite format 3\0"

_SHAPEFILE_VERSION = 1000
_GEOPACKAGE_IDS = (b"GPKG", b"GP10", b"GP11")
_GEOJSON = re.compile(
    r'"type"\s*:\s*"(Feature|FeatureCollection|GeometryCollection|(Multi)?(Point|LineString|Polygon))"'
    r'|"features"\s*:\s*\['
)
_FIRST_ELEMENT = re.compile(r"<[^?!]")
_DXF = re.compile(rb"(?:\xef\xbb\xbf)?(?:[ \t]*999[ \t]*\r?\n[^\n]*\n)*[ \t]*0[ \t]*\r?\nSECTION[ \t]*\r?\n")
_NMEA = re.compile(rb"[$!][A-Z]{2}[A-Z]{3},|[$!]P[A-Z]{3}")
_POSITION = re.compile(rb"\$[A-Z]{2}(GGA|RMC|ZDA|GST|VTG),")


def has_root(name: str, *namespaces: str) -> Callable[[bytes], bool]:
    """Return a function that tells XML by its first element: its name, and that its namespace, if any, is known."""
    wanted = "|".join(map(re.escape, namespaces))
    element, stated = rf"<(?:\w+:)?{name}(?=[\s/>]|$)", r"[^>]*\sxmlns(?::\w+)?\s*=\s*[\"']"
    pattern = rf"{element}(?:(?!{stated})|{stated}(?:{wanted}))"

    def told(head: bytes) -> bool:
        text = _start(head)
        root = _FIRST_ELEMENT.search(text) if text.lstrip().startswith("<") else None
        return root is not None and re.compile(pattern).match(text, root.start()) is not None

    return told


def begins_with(*parts: bytes | None) -> Callable[[bytes], bool]:
    """Return a function that tells whether bytes begin with the parts given; None stands for any one byte."""
    pattern = re.compile(b"".join(b"." if part is None else re.escape(part) for part in parts), re.DOTALL)
    return lambda head: pattern.match(head) is not None


def is_geopackage(head: bytes) -> bool:
    """Tell a GeoPackage by its application id, or by its table of contents (OGC 12-128, clause 1.1.1)."""
    return head.startswith(_SQLITE) and (head[68:72] in _GEOPACKAGE_IDS or b"gpkg_contents" in head)


def is_shapefile(head: bytes) -> bool:
    """Tell the main file of a shapefile by its file code and version."""
    return head[:4] == SHAPEFILE_CODE.to_bytes(4, "big") and head[28:32] == _SHAPEFILE_VERSION.to_bytes(4, "little")


def is_geojson(head: bytes) -> bool:
    """Tell a GeoJSON text by the types of RFC 7946."""
    text = _start(head).lstrip(" \t\r\n\x1e")
    return text.startswith("{") and _GEOJSON.search(text) is not None


def is_dxf(head: bytes) -> bool:
    """Tell a DXF by the pair that opens its first section, comments before it, or by the mark of a binary one."""
    return head.startswith(DXF_BINARY) or _DXF.match(head) is not None


def is_nmea(head: bytes) -> bool:
    """Tell a log of NMEA 0183 by sentences of position or time: most of its first lines, of any talker."""
    lines = [line for line in head.splitlines()[:50] if line.strip()]
    spoken = [line for line in lines if _NMEA.search(line)]
    return any(_POSITION.search(line) for line in lines) and 2 * len(spoken) >= len(lines)


def is_delimited(head: bytes) -> bool:
    """Tell a delimited text by columns that hold coordinates."""
    from taskdata.file_formats.delimited.layout import layout_of  # noqa: PLC0415  # asked last, of texts alone

    layout = layout_of(head, whole=len(head) < HEAD)
    return layout is not None and layout.coordinates is not None


def by_name_alone(_: bytes) -> bool:
    """Tell nothing: other parts of the program know the format."""
    return False


def _start(head: bytes) -> str:
    """Return the beginning of a file as text; a character that was cut through at its end does not count."""
    try:
        return read_text(head[: len(head) - len(head) % 4]).text
    except ValueError:
        return ""

"""Every file format, each declared once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import PurePath

from taskdata.errors import UsageError
from taskdata.file_formats.contents import (
    ZIP_MARK,
    begins_with,
    by_name_alone,
    has_root,
    is_delimited,
    is_dxf,
    is_geojson,
    is_geopackage,
    is_nmea,
    is_shapefile,
)
from taskdata.file_formats.declaration import Carries, Format, Layers, Shape

ISOXML = "isoxml"

FORMATS: tuple[Format, ...] = (
    Format(
        ISOXML, "ISO-XML", (".zip", ".xml"), by_name_alone, driver=None, noun="a task data set", layers=Layers.SEVERAL
    ),
    Format(
        "geojson",
        "GeoJSON",
        (".geojson", ".json"),
        is_geojson,
        driver="geojson",
        only_read=(".geojsonl",),
        ambiguous=(".json", ".geojsonl"),
        styled=True,
    ),
    Format(
        "shapefile",
        "Shapefile",
        (".shp",),
        is_shapefile,
        driver="shapefile",
        binary=True,
        noun="a shapefile",
        beside=(".shx", ".dbf", ".prj", ".cpg", ".taskdata-sidecar.json"),
        outdated=(".qix", ".sbn", ".sbx", ".idm", ".ind"),
        folder_files=("taskdata-sidecar.json",),
        carries=Carries.EVERYWHERE,
    ),
    Format(
        "gpkg",
        "GeoPackage",
        (".gpkg",),
        is_geopackage,
        driver="geopackage",
        binary=True,
        noun="a GeoPackage",
        layers=Layers.SEVERAL,
        folder=False,
        carries=Carries.EVERYWHERE,
    ),
    Format("parquet", "GeoParquet", (".parquet",), begins_with(b"PAR1"), driver="geoparquet", binary=True),
    Format("flatgeobuf", "FlatGeobuf", (".fgb",), begins_with(b"fgb", None, b"fgb"), driver="flatgeobuf", binary=True),
    Format(
        "kml",
        "KML",
        (".kml",),
        has_root("kml", "http://www.opengis.net/kml/", "http://earth.google.com/kml/"),
        driver="kml",
        carries=Carries.NOWHERE,
    ),
    Format(
        "kmz",
        "KMZ",
        (".kmz",),
        begins_with(ZIP_MARK),
        driver="kmz",
        binary=True,
        by_content_alone=False,
        carries=Carries.NOWHERE,
    ),
    Format(
        "gpx",
        "GPX",
        (".gpx",),
        has_root("gpx", "http://www.topografix.com/GPX/", "https://www.topografix.com/GPX/"),
        driver="gpx",
        shapes=frozenset({Shape.POINT, Shape.LINE}),
        carries=Carries.NOWHERE,
    ),
    Format(
        "dxf",
        "DXF",
        (".dxf",),
        is_dxf,
        driver="dxf",
        by_content_alone=False,
        layers=Layers.SEVERAL,
        writes=False,
        carries=Carries.NOWHERE,
    ),
    Format(
        "nmea",
        "NMEA 0183",
        (".nmea",),
        is_nmea,
        driver="nmea",
        noun="an NMEA 0183 log",
        only_read=(".nma",),
        writes=False,
        carries=Carries.NOWHERE,
    ),
    Format(
        "csv",
        "Delimited text",
        (".csv",),
        is_delimited,
        driver="delimited",
        noun="delimited text",
        only_read=(".tsv", ".txt", ".tab"),
        ambiguous=(".txt", ".tab"),
        by_content_alone=False,
        carries=Carries.NOWHERE,
    ),
)
"""The formats, in the order in which they are listed."""


def format_named(name: str) -> Format:
    """Return the format of a name.

    Raises
    ------
    UsageError
        There is none.
    """
    for item in FORMATS:
        if item.name == name:
            return item
    raise UsageError(f"there is no format {name!r}", remedy=f"Choose one of {', '.join(each.name for each in FORMATS)}")


def label_of(name: str) -> str:
    """Return what people call a format, its name where it is none of the table."""
    return next((item.label for item in FORMATS if item.name == name), name)


def formats_of_layers() -> tuple[Format, ...]:
    """Return the formats that layers are read from or written to."""
    return tuple(item for item in FORMATS if item.driver is not None)


def readable() -> tuple[Format, ...]:
    """Return the formats that are read."""
    return tuple(item for item in FORMATS if item.reads)


def writable() -> tuple[Format, ...]:
    """Return the formats that are written."""
    return tuple(item for item in FORMATS if item.writes)


def writable_names() -> list[str]:
    """Return the names of the formats that are written."""
    return [item.name for item in writable()]


def alternatives(name: str) -> str:
    """Return the names of the other formats that hold all that layers hold, as words."""
    whole = (item for item in formats_of_layers() if item.writes and item.carries is not Carries.NOWHERE)
    return joined([item.name for item in whole if item.name != name])


def told_by_content(head: bytes, path: PurePath) -> Format | None:
    """Return the format that the first bytes of a file are of.

    None where they are of none of these, or are a text in a file that is named as one of a binary format.
    """
    named = of_name(path)
    binary = named is not None and named.binary
    asked = (item for item in FORMATS if item.reads and (item.by_content_alone or item.is_named(path)))
    return next((item for item in asked if (item.binary or not binary) and item.told(head)), None)


def of_target_name(path: PurePath) -> Format | None:
    """Return the format that the name of a target says, None where it says none."""
    return next((item for item in FORMATS if path.suffix.lower() in item.suffixes), None)


def of_name(path: PurePath) -> Format | None:
    """Return the format that a file of a name is taken for, also one that is only read; None where it is of none."""
    return next((item for item in FORMATS if item.is_named(path)), None)


def listed(formats: Iterable[Format], last: str = "or") -> str:
    """Return formats as words, such as ``GeoJSON, a shapefile or a GeoPackage``."""
    return joined([item.phrase for item in formats], last)


def joined(words: Sequence[str], last: str = "or") -> str:
    """Return words in a row, a comma between them and ``last`` before the last one."""
    *first, end = words
    return f"{', '.join(first)} {last} {end}" if first else end

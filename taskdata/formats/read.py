"""GIS sources into tables in WGS 84."""

from __future__ import annotations

from pathlib import Path

from taskdata.errors import SourceError
from taskdata.findings import Finding
from taskdata.formats import carriage
from taskdata.formats.base import RawTable
from taskdata.formats.detect import detect
from taskdata.formats.drivers import DRIVERS
from taskdata.formats.placing import placed, worst
from taskdata.formats.source import Datum, Source


def read(path: Path | str, form: str | None = None, *, crs: str | None = None) -> Source:
    """Read a GIS source.

    Parameters
    ----------
    path : path
        A file, or a folder of layers.
    form : str, optional
        ``geojson``, ``shapefile``, ``gpkg`` or ``parquet``; told by content when not given.
    crs : str, optional
        What coordinates are in where a layer does not say so, such as ``EPSG:25832``.

    Raises
    ------
    SourceError
        Nothing in it can be read.
    UsageError
        A layer does not say what its coordinates are in, and they are no degrees.
    """
    source = Path(path)
    form = form or detect(source)
    if form is None:
        raise SourceError(
            "The source is in no format that is known",
            where=source,
            remedy="Give GeoJSON, a shapefile, a GeoPackage or GeoParquet.",
        )
    found = DRIVERS[form].read(source)
    side = {name: found.tables.pop(name).table for name in carriage.SPECS if name in found.tables}
    findings: list[Finding] = list(found.findings)
    tables: dict[str, RawTable] = {}
    datum: Datum | None = None
    moved: set[str] = set()
    for name, raw in found.tables.items():
        table, change, notes = placed(raw, crs, str(source))
        tables[name] = table
        findings.extend(notes)
        datum = worst(datum, change)
        if change is not None:
            moved.add(name)
    carried = carriage.from_tables(side, str(source))
    return Source(str(path), form, tables, carried, findings, datum, frozenset(moved))

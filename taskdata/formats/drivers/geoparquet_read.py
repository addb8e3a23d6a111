"""GeoParquet reading: every version from 0.1 to 1.1, and what Parquet's own type for geometry says.

What a file says of its geometry stands in its footer; the Arrow schema, which may stand there too, need not repeat it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import shapely

from taskdata import strict_json
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UnfitError, unfit
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, Tables
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.drivers.damage_reasons import reason
from taskdata.formats.drivers.parquet_reading import opened, table_of
from taskdata.formats.geometries import native
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT

_CRS84 = "OGC:CRS84"
_GEO = b"geo"
_BOX = {"xmin", "ymin", "xmax", "ymax"}
_LOOKED_AT = 100


@dataclass(frozen=True)
class Described:
    """What a file says of its geometry.

    Parameters
    ----------
    name : str
        Its column.
    encoding : str
        ``WKB`` or a native one.
    crs : str or None
        What its coordinates are in, None = not known.
    others : tuple of str
        Further columns of geometry.
    """

    name: str
    encoding: str
    crs: str | None
    others: tuple[str, ...] = ()


def read_file(path: Path) -> Tables:
    """Return one file, and what was left out or wrong in it.

    Raises
    ------
    SourceError
        It is damaged, or its geometry is kept in no way that is known.
    """
    try:
        file = opened(path)
        table = table_of(file, path)
    except (pa.ArrowException, OSError) as error:
        raise SourceError(
            "The Parquet file cannot be read", where=path, why=reason(error), remedy="Copy it again from the original."
        ) from error
    try:
        found = described(file, table)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise SourceError(
            "The description of the geometry is damaged", where=path, why=unfit(error), remedy="Write the file again."
        ) from error
    if found is None:
        plain = RawTable(path.stem, path.name, table.replace_schema_metadata(None))
        return Tables({path.stem: plain})
    arrays, findings = _attributes(table, found, path.name)
    try:
        geometry, notes = _geometry(table[found.name], found.encoding, path.name)
    except (UnfitError, pa.ArrowException) as error:
        raise SourceError(
            f"The geometry is stored as {found.encoding}",
            where=path,
            why=str(error) if isinstance(error, UnfitError) else "its column holds something else",
            remedy="Write the file again with the encoding WKB.",
        ) from error
    raw = RawTable(path.stem, path.name, pa.table(arrays | {GEOMETRY: geometry}), found.crs)
    return Tables({path.stem: raw}, [*findings, *notes])


def described(file: pq.ParquetFile, table: pa.Table) -> Described | None:
    """Return what a file says of its geometry; None where it has none.

    A file that says nothing has its geometry in the first column of bytes that are all well-known binary.

    Raises
    ------
    ValueError, KeyError, TypeError, AttributeError
        What it says is damaged.
    """
    text = (file.metadata.metadata or {}).get(_GEO)
    if text is not None:
        return _stated(strict_json.loads(text), table)
    found = _typed(file)
    if found is not None:
        return found
    for name, column in zip(table.column_names, table.columns, strict=True):
        if _looks_like_wkb(column):
            return Described(name, "WKB", None)
    return None


def _stated(meta: dict[str, Any], table: pa.Table) -> Described:
    name, columns = meta["primary_column"], meta["columns"]
    column = columns[name]
    if name not in table.column_names:
        raise UnfitError(f"the column {name} that it names is missing")
    if not isinstance(column.get("encoding"), str):
        raise UnfitError(f"it does not say how the column {name} is stored")
    return Described(name, column["encoding"], _crs(column), tuple(other for other in columns if other != name))


def _crs(column: dict[str, Any]) -> str | None:
    """Return the system of a geometry column: WGS 84 when the key is missing, unknown when it is null.

    Up to version 0.3 it is well-known text, from 0.4 on PROJ JSON.
    """
    if "crs" not in column:
        return _CRS84
    crs = column["crs"]
    return crs if crs is None or isinstance(crs, str) else strict_json.dumps(crs)


def _typed(file: pq.ParquetFile) -> Described | None:
    """Return what the types say: GEOMETRY and GEOGRAPHY of the Parquet format, whose default is OGC:CRS84."""
    found = []
    for index in range(len(file.schema)):
        column = file.schema.column(index)
        if column.logical_type.type in ("GEOMETRY", "GEOGRAPHY") and column.path == column.name:
            found.append((column.name, strict_json.loads(column.logical_type.to_json())))
    if not found:
        return None
    (name, facts), *others = found
    crs = facts.get("crs") or _CRS84
    if isinstance(crs, str) and crs.startswith("srid:"):
        crs = f"EPSG:{crs.removeprefix('srid:')}" if crs != "srid:0" else None
    elif isinstance(crs, str) and crs.startswith("projjson:"):
        crs = (file.metadata.metadata or {})[crs.removeprefix("projjson:").encode()].decode()
    elif not isinstance(crs, str):
        crs = strict_json.dumps(crs)
    return Described(name, "WKB", crs, tuple(other for other, _ in others))


def _looks_like_wkb(column: pa.ChunkedArray) -> bool:
    if not (pa.types.is_binary(column.type) or pa.types.is_large_binary(column.type)):
        return False
    sample = column.drop_null().slice(0, _LOOKED_AT).to_pylist()
    try:
        return bool(sample) and not shapely.is_missing(shapely.from_wkb(sample, on_invalid="ignore")).any()
    except NotImplementedError:
        return True


def _attributes(table: pa.Table, found: Described, file: str) -> tuple[dict[str, Any], list[Finding]]:
    """Return the columns beside the geometry, and a finding for each that there is no place for."""
    arrays: dict[str, Any] = {}
    findings = []
    for name, column in zip(table.column_names, table.columns, strict=True):
        why = None
        if name == found.name or _is_box(column.type):
            continue
        if name in found.others:
            why = f"a row can have only one geometry, and that is in {found.name}"
        elif name == GEOMETRY:
            why = f"that name holds the geometry of the row, from {found.name}"
        if why is None:
            arrays[name] = column
        else:
            what = f"The column {name} of {file}"
            findings.append(VALUE_LEFT_OUT.at(Place(file=file), what=what, reason=why))
    return arrays, findings


def _is_box(kind: pa.DataType) -> bool:
    """Return whether a column holds the boxes of the shapes, which are made anew (section "bbox covering encoding")."""
    return bool(pa.types.is_struct(kind)) and {field.name for field in kind} >= _BOX


def _geometry(column: pa.ChunkedArray, encoding: str, file: str) -> tuple[Any, list[Finding]]:
    kind = native.KINDS.get(encoding.lower().removeprefix("geoarrow."))
    if kind is not None:
        return native.records(column, kind, file, file)
    if encoding.upper().removeprefix("GEOARROW.") != "WKB":
        raise UnfitError("GeoParquet 1.1 has no such encoding")
    return column.cast(pa.large_binary()), []

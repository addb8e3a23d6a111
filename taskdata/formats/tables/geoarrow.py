"""GeoArrow: a column of geometry that says what it holds and what its coordinates are in.

The extension type ``geoarrow.wkb`` of the GeoArrow specification 0.2 keeps well-known binary; a JSON object in the
metadata of the field names the coordinate reference system as PROJJSON. Axes are longitude, latitude.
"""

from __future__ import annotations

from typing import Any

import pyarrow as pa
from pyproj import CRS

from taskdata import strict_json
from taskdata.errors import UnfitError, UsageError
from taskdata.findings import Finding
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries import native

_NAME, _FACTS = b"ARROW:extension:name", b"ARROW:extension:metadata"
_PREFIX = "geoarrow."
_WKB = f"{_PREFIX}wkb"
_CRS = "OGC:CRS84"


def with_geoarrow(table: pa.Table) -> pa.Table:
    """Return a table whose geometry, WKB in WGS 84, says so."""
    if GEOMETRY not in table.column_names:
        return table
    facts = {"crs": CRS.from_user_input(_CRS).to_json_dict(), "crs_type": "projjson"}
    index = table.schema.get_field_index(GEOMETRY)
    field = table.schema.field(index).with_metadata({_NAME: _WKB.encode(), _FACTS: strict_json.dumps(facts).encode()})
    return table.cast(table.schema.set(index, field))


def without_geoarrow(
    table: pa.Table, name: str, geometry: str | None = None
) -> tuple[pa.Table, str | None, list[Finding]]:
    """Return a table with its geometry as WKB in the column ``geometry``, its coordinate reference system, findings.

    Parameters
    ----------
    name : str
        What to call it.
    geometry : str or None
        Its column of geometry; None = the one that says so, else the one called ``geometry``, if there is any.

    Raises
    ------
    UsageError
        The geometry is kept in no way that is known.
    """
    stated = [field.name for field in table.schema if _encoding(field) is not None]
    chosen = geometry or next(iter(stated), GEOMETRY)
    if chosen not in table.column_names:
        return table, None, []
    field = table.schema.field(chosen)
    column, findings = _wkb(table[chosen], _encoding(field) or _WKB, name)
    rest = table.drop_columns([other for other in table.column_names if other in (chosen, GEOMETRY)])
    return rest.append_column(GEOMETRY, column), _system(field), findings


def _encoding(field: pa.Field) -> str | None:
    """Return the name of the extension type of a column of geometry, registered or not; None for other columns."""
    name = getattr(field.type, "extension_name", None) or ((field.metadata or {}).get(_NAME) or b"").decode()
    return name if name.startswith(_PREFIX) else None


def _system(field: pa.Field) -> str | None:
    facts = (field.metadata or {}).get(_FACTS)
    if facts is None and isinstance(field.type, pa.BaseExtensionType):
        facts = field.type.__arrow_ext_serialize__()
    try:
        crs = strict_json.loads(facts or b"{}").get("crs")
    except (ValueError, AttributeError):
        return None
    return crs if crs is None or isinstance(crs, str) else strict_json.dumps(crs)


def _wkb(column: pa.ChunkedArray, encoding: str, name: str) -> tuple[Any, list[Finding]]:
    if isinstance(column.type, pa.BaseExtensionType):
        column = pa.chunked_array([chunk.storage for chunk in column.chunks], column.type.storage_type)
    kind = native.KINDS.get(encoding.removeprefix(_PREFIX))
    try:
        if kind is not None:
            return native.records(column, kind, name, name)
        return column.cast(pa.large_binary()), []
    except (UnfitError, pa.ArrowException) as error:
        raise UsageError(
            f"the geometry of {name} cannot be read", why=str(error), remedy="Give well-known binary (geoarrow.wkb)"
        ) from error

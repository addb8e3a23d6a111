"""The table ``layer_styles`` of a GeoPackage, from which QGIS takes the style of each layer when it opens the file.

Its columns are those of the table that QGIS makes itself. The description of each row ends with a hash of its style, so
that a style that somebody changed is told from one that was written here.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

from taskdata.formats.columns import Layer
from taskdata.formats.styles.plan import plan_of
from taskdata.formats.styles.qml import qml
from taskdata.formats.styles.sld import sld

TABLE = "layer_styles"
_NAME = "taskdata"
_GEOMETRY = "geom"
"""How GDAL names the column of the geometry in a GeoPackage."""
_CREATE = f"""CREATE TABLE "{TABLE}" (
  "id" INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, "f_table_catalog" TEXT(256), "f_table_schema" TEXT(256),
  "f_table_name" TEXT(256), "f_geometry_column" TEXT(256), "styleName" TEXT(30), "styleQML" TEXT, "styleSLD" TEXT,
  "useAsDefault" BOOLEAN, "description" TEXT, "owner" TEXT(30), "ui" TEXT(30), "update_time" DATETIME)"""
_LIST = (
    "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change) "
    "VALUES (?, 'attributes', ?, '', ?)"
)
_ROW = f'INSERT INTO "{TABLE}" VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, 1, ?, ?, NULL, ?)'  # noqa: S608 - a constant
_WRITTEN = f'SELECT f_table_name, styleQML, styleSLD, description FROM "{TABLE}"'  # noqa: S608 - a constant
_NO_DAY = "2000-01-01T00:00:00.000Z"
"""Stands for the time of the change, so that the same layers give the same styles."""


def write_styles(path: Path, layers: Sequence[Layer]) -> None:
    """Add the table with a style for each layer that has a geometry."""
    rows = []
    for layer in layers:
        plan = plan_of(layer)
        if plan is None:
            continue
        drawn, encoded = qml(plan), sld(layer.name, plan)
        told = f"How taskdata draws {layer.name}. {_hash(layer.name, drawn, encoded)}"
        rows.append(("", "", layer.name, _GEOMETRY, _NAME, drawn, encoded, told, _NAME, _NO_DAY))
    if not rows:
        return
    with closing(sqlite3.connect(path)) as base, base:
        base.execute(_CREATE)
        base.execute(_LIST, (TABLE, TABLE, _NO_DAY))
        base.executemany(_ROW, rows)


def own_styles(path: Path) -> bool:
    """Tell whether every style in a GeoPackage is as it was written here.

    Nothing that is stored in it is run. False where there is no such table.
    """
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as base:
            base.execute("PRAGMA trusted_schema=OFF")
            rows = base.execute(_WRITTEN).fetchall()
    except sqlite3.Error:
        return False
    return all(str(told).endswith(_hash(str(name), str(drawn), str(encoded))) for name, drawn, encoded, told in rows)


def _hash(name: str, drawn: str, encoded: str) -> str:
    return hashlib.sha256("\n".join((name, drawn, encoded)).encode("utf-8", "replace")).hexdigest()[:16]

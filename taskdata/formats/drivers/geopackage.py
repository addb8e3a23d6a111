"""GeoPackage (OGC 12-128): one file, a table a layer, the side tables as attribute tables."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pyarrow as pa
import pyogrio
from pyogrio.errors import DataLayerError, DataSourceError

from taskdata.errors import SourceError
from taskdata.findings import Place
from taskdata.formats import side_tables
from taskdata.formats.base import LayerFiles, RawTable, Tables
from taskdata.formats.columns import Layer
from taskdata.formats.drivers.damage_reasons import UNKNOWN, reason
from taskdata.formats.drivers.ogr import (
    as_named,
    check_content,
    read_layer,
    unwarned,
    write_layer,
    writing_by_gdal,
)
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.progress import each
from taskdata.raised_rules.import_.database_damaged import RULE as DATABASE_DAMAGED
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER

_STYLES = "layer_styles"


class GeoPackage:
    """The driver."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return nothing: the format holds everything."""
        return []

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into the one new file."""
        for layer in side_tables.with_side_tables(layers, carried):
            with writing_by_gdal(target.path):
                write_layer(target.of(layer), layer, "GPKG")

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return every table of the file."""
        check_content(path, "gpkg")
        if _is_empty(path):
            return Tables()
        if as_named(path) != path and _has_log(path):
            why = f"the latest rows stand in {path.name}-wal, which is read beside a name without ! or .zip alone"
            remedy = "Close the program that has it open, or rename both files."
            raise SourceError("The GeoPackage cannot be read", where=path, why=why, remedy=remedy)
        try:
            with unwarned():
                names = [str(name) for name, _ in pyogrio.list_layers(as_named(path))]
        except DataSourceError as error:
            raise SourceError(
                "The GeoPackage cannot be read",
                where=path,
                why=reason(error),
                remedy="Copy it again from the original.",
            ) from error
        found = Tables()
        if not _is_whole(path):
            found.findings.append(DATABASE_DAMAGED.at(Place(file=path.name), file=path.name))
        for name in each(names, "Reading layers", "layers"):
            if name == _STYLES:
                continue
            try:
                table, crs, _, _ = read_layer(path, name)
            except (DataSourceError, DataLayerError, pa.ArrowException, UnicodeDecodeError, OSError) as error:
                place = Place(file=path.name)
                found.findings.append(UNREADABLE_LAYER.at(place, layer=name, reason=reason(error)))
                continue
            found.tables[name] = RawTable(name, path.name, table, crs)
        if not found.tables:
            why = str(found.findings[-1].facts.get("reason", UNKNOWN)) if found.findings else "it holds no table"
            raise SourceError(
                "The GeoPackage has nothing to read", where=path, why=why, remedy="Copy it again from the original."
            )
        return found


DRIVER = GeoPackage()


def _has_log(path: Path) -> bool:
    """Tell whether pages of a newer state may stand in a file beside the database."""
    return path.with_name(f"{path.name}-wal").exists()


def _is_empty(path: Path) -> bool:
    """Tell whether a file is a sound GeoPackage without a table, which GDAL takes for a damaged one."""
    if _has_log(path):  # what another program wrote last may stand there alone
        return False
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as base:
            (tables,) = base.execute("SELECT count(*) FROM gpkg_contents").fetchone()
            return bool(tables == 0)
    except sqlite3.Error:
        return False


def _is_whole(path: Path) -> bool:
    """Return whether the pages of the database fit together; True where SQLite cannot say."""
    if _has_log(path):  # pages of a newer state may stand there
        return True
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?immutable=1", uri=True)) as database:
            return bool(database.execute("PRAGMA quick_check(1)").fetchall() == [("ok",)])
    except sqlite3.OperationalError:
        return True
    except sqlite3.DatabaseError:
        return False

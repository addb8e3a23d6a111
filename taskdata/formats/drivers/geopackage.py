"""GeoPackage (OGC 12-128): one file, a table a layer, the side tables as attribute tables."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

import pyarrow as pa
import pyogrio
from pyogrio.errors import DataLayerError, DataSourceError

from taskdata.errors import SourceError
from taskdata.findings import Place
from taskdata.formats import side_tables
from taskdata.formats.base import LayerFiles, RawTable, Tables
from taskdata.formats.columns import Layer
from taskdata.formats.drivers.damage_reasons import reason
from taskdata.formats.drivers.geopackage_index import PointIndexes
from taskdata.formats.drivers.geopackage_tables import at_rest, listed
from taskdata.formats.drivers.ogr import (
    check_content,
    is_plain,
    read_layer,
    write_layer,
    writing,
    writing_by_gdal,
)
from taskdata.formats.heads import tables_of
from taskdata.formats.styles.layer_styles import TABLE, own_styles, write_styles
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.progress import each
from taskdata.raised_rules.import_.database_damaged import RULE as DATABASE_DAMAGED
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER

INDEX_MEMORY = 256 << 20
"""Bytes that the spatial index of a layer may take in memory while it is made; a larger one is made on disk.

A point takes about 50; by itself GDAL takes up to a tenth of the memory of the machine.
"""
_INDEX_SETTING = "OGR_GPKG_MAX_RAM_USAGE_RTREE"


class GeoPackage:
    """The driver."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return nothing: the format holds everything."""
        return []

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into the one new file."""
        indexes = PointIndexes(target.path)
        for layer in side_tables.with_side_tables(layers, carried):
            with writing_by_gdal(target.path), _index_within(INDEX_MEMORY):
                if indexes.suits(layer):
                    indexes.write(layer)
                else:
                    write_layer(target.of(layer), layer, "GPKG")
        with writing(target.path):
            write_styles(target.path, layers)

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of each table."""
        found = tables_of(path)
        return {name: columns for name, columns in found.items() if name != TABLE or not own_styles(path)}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return every table of the file."""
        check_content(path, "gpkg")
        with at_rest(path, copied=not is_plain(path)) as file:
            return _read(file, path)


DRIVER = GeoPackage()


@contextmanager
def _index_within(size: int) -> Iterator[None]:
    """Limit what an index takes in memory, where nobody has set a limit."""
    if pyogrio.get_gdal_config_option(_INDEX_SETTING) is not None:
        yield
        return
    pyogrio.set_gdal_config_options({_INDEX_SETTING: str(size)})
    try:
        yield
    finally:
        pyogrio.set_gdal_config_options({_INDEX_SETTING: None})


def _read(file: Path, shown: Path) -> Tables:
    """Return every table of a file; ``shown`` is what it is called."""
    contents = listed(file, shown)
    place, found = Place(file=shown.name), Tables()
    if not contents.whole:
        found.findings.append(DATABASE_DAMAGED.at(place, file=shown.name))
    for name, why in contents.refused.items():
        found.findings.append(UNREADABLE_LAYER.at(place, layer=name, reason=why))
    for name, why in contents.aside.items():
        found.findings.append(LAYER_LEFT_OUT.at(place, layer=name, reason=why))
    for name in each(contents.tables, "Reading layers", "layers"):
        try:
            table, crs, _, _ = read_layer(file, "GPKG", name, LIST_ALL_TABLES="NO")
        except (DataSourceError, DataLayerError, pa.ArrowException, UnicodeDecodeError, OSError) as error:
            found.findings.append(UNREADABLE_LAYER.at(place, layer=name, reason=reason(error)))
            continue
        found.tables[name] = RawTable(name, shown.name, table, crs)
    if not found.tables and (contents.tables or contents.refused):
        why = next(str(item.facts["reason"]) for item in found.findings if item.rule is UNREADABLE_LAYER)
        raise SourceError(
            "The GeoPackage has nothing to read", where=shown, why=why, remedy="Copy it again from the original."
        )
    return found

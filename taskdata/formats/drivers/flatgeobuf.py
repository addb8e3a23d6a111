"""FlatGeobuf 3 (flatgeobuf.org): a folder of files, one a layer.

Files are written without the spatial index that the format allows: it would put the rows into another order, and rows
without a shape have no place in it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

import pyarrow as pa
import pyogrio
from pyogrio.errors import DataLayerError, DataSourceError

from taskdata.errors import SourceError
from taskdata.findings import Place
from taskdata.formats import side_tables
from taskdata.formats.base import LayerFiles, RawTable, Tables, read_each
from taskdata.formats.columns import GEOMETRY, Layer
from taskdata.formats.drivers.damage_reasons import reason
from taskdata.formats.drivers.ogr import (
    as_named,
    check_content,
    opened_by,
    read_layer,
    readable_at,
    system_understood,
    write_layer,
    writing_by_gdal,
)
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.raised_rules.import_.rows_missing import RULE as ROWS_MISSING

_DRIVER = "FlatGeobuf"
_ROW_BY_ROW = {"OGR_FLATGEOBUF_STREAM_BASE_IMPL": "YES"}
"""GDAL hands rows on one by one: its own way for this format fails at a row without a shape (GDAL 3.12)."""
_UNREADABLE = (DataSourceError, DataLayerError, pa.ArrowException, UnicodeDecodeError, OSError, IndexError)


class FlatGeobuf:
    """The driver; a layer a file."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return nothing: the format holds everything."""
        return []

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into its file."""
        for layer in side_tables.with_side_tables(layers, carried):
            with writing_by_gdal(target.path):
                write_layer(target.of(layer), layer, _DRIVER, SPATIAL_INDEX="NO")

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the file."""
        try:
            with opened_by(_DRIVER), readable_at(path) as place:
                return {path.stem: pyogrio.read_info(as_named(place))["fields"].tolist()}
        except _UNREADABLE as error:
            raise ValueError(reason(error)) from error

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the table of each file."""
        return read_each(files, _read_file)


DRIVER = FlatGeobuf()


def _read_file(path: Path) -> Tables:
    """Return one file as a table; rows that it counts and lacks are told.

    Raises
    ------
    SourceError
        It is damaged, or no FlatGeobuf.
    """
    check_content(path, "flatgeobuf")
    try:
        with opened_by(_DRIVER, **_ROW_BY_ROW), system_understood(), readable_at(path) as file:
            layer = read_layer(file, _DRIVER)
            stated = int(pyogrio.read_info(as_named(file))["features"])
    except _UNREADABLE as error:
        raise SourceError(
            "The FlatGeobuf file cannot be read",
            where=path,
            why=reason(error),
            remedy="Copy it again from the original.",
        ) from error
    table = layer.table
    if path.stem in side_tables.SPECS:
        table = table.drop_columns([GEOMETRY])
    found = Tables({path.stem: RawTable(path.stem, path.name, table, layer.crs)})
    if table.num_rows < stated:
        place = Place(file=path.name)
        found.findings.append(ROWS_MISSING.at(place, file=path.name, count=table.num_rows, total=stated))
    return found

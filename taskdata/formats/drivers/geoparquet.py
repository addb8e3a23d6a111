"""GeoParquet 1.1.0: a folder of Parquet files, geometry as WKB, written by pyarrow with metadata of our own."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from taskdata.formats import side_tables
from taskdata.formats.base import LayerFiles, Tables, read_each
from taskdata.formats.columns import GEOMETRY, Layer, LongLayer
from taskdata.formats.drivers.geoparquet_read import read_file
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.geometries.geo_metadata import Geometries, with_geo_metadata
from taskdata.ledger import Loss
from taskdata.model.carried import Carried


class GeoParquet:
    """The driver; a layer a file."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return nothing: the format holds everything."""
        return []

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into its file."""
        for layer in side_tables.with_side_tables(layers, carried):
            with writing(target.path):
                _write(layer, target.of(layer))

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the file."""
        return {path.stem: pq.read_schema(path).names}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the table of each file."""
        return read_each(files, read_file)


DRIVER = GeoParquet()


def _write(layer: Layer, path: Path) -> None:
    """Write a layer, its rows some at a time where they are very many; what they hold is told at the end then."""
    if not isinstance(layer, LongLayer):
        table = layer.table if layer.spec.geometry is None else with_geo_metadata(layer.table)
        pq.write_table(table, path, compression="zstd")
        return
    found = Geometries()
    with pq.ParquetWriter(path, layer.schema.remove_metadata(), compression="zstd") as file:
        for batch in layer.reader():
            table = pa.Table.from_batches([batch]).replace_schema_metadata(None)
            if layer.spec.geometry is not None:
                found.note(table[GEOMETRY])
            file.write_table(table)
        if layer.spec.geometry is not None:
            file.add_key_value_metadata({"geo": found.metadata()})

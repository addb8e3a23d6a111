"""GeoParquet 1.1.0: a folder of Parquet files, geometry as WKB, written by pyarrow with metadata of our own."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

import pyarrow.parquet as pq

from taskdata.formats import side_tables
from taskdata.formats.base import LayerFiles, Tables, read_each
from taskdata.formats.columns import Layer
from taskdata.formats.drivers.geoparquet_read import read_file
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.geometries.geo_metadata import with_geo_metadata
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
            table = layer.table
            if layer.spec.geometry is not None:
                table = with_geo_metadata(table)
            with writing(target.path):
                pq.write_table(table, target.of(layer), compression="zstd")

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the file."""
        return {path.stem: pq.read_schema(path).names}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the table of each file."""
        return read_each(files, read_file)


DRIVER = GeoParquet()

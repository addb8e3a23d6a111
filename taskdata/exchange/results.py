"""A layer of results to any GIS format, whole or not at all."""

from __future__ import annotations

import tempfile
from pathlib import Path

from taskdata.errors import UsageError
from taskdata.exchange.targets import Target
from taskdata.formats.columns import Layer
from taskdata.formats.registry import DRIVERS, SINGLE_FILE
from taskdata.ledger import Loss
from taskdata.staging import staged

ONE_FILE = {"geojson": {".geojson", ".json"}, "parquet": {".parquet"}}
"""Formats whose layer is one file, and the suffixes of a name that asks for the file rather than a folder."""


def write_layer(layer: Layer, goal: Target, *, overwrite: bool = False) -> list[Loss]:
    """Write a layer as the format of a target that is no ISO-XML, and return what it cannot hold.

    A name such as ``passes.geojson`` or ``passes.parquet`` becomes that file; a name without such a suffix a folder
    with the layer in it, as all layers of a set would be.

    Raises
    ------
    UsageError
        The name is that of one file of a shapefile, which is several.
    TargetError
        The target may not or could not be written.
    """
    suffix = goal.named.suffix.lower()
    if goal.format == "shapefile" and suffix == ".shp":
        raise UsageError(
            "a shapefile is several files, and this names one",
            where=goal.named,
            remedy="Name a folder and give [[to=shapefile]], or name a .gpkg or .geojson file",
        )
    driver = DRIVERS[goal.format]
    if suffix not in ONE_FILE.get(goal.format, ()):
        with staged(goal.place, overwrite=overwrite, replaceable=goal.replaceable) as fresh:
            if goal.format not in SINGLE_FILE:
                fresh.mkdir()
            return driver.write(fresh, [layer], None)
    with staged(goal.place, overwrite=overwrite) as fresh, tempfile.TemporaryDirectory(dir=fresh.parent) as folder:
        losses = driver.write(Path(folder), [layer], None)
        (made,) = Path(folder).iterdir()
        made.rename(fresh)
        return losses

"""A layer of results to any GIS format, whole or not at all."""

from __future__ import annotations

from taskdata.errors import UsageError
from taskdata.exchange.targets import Target
from taskdata.exchange.write_target import write_layers
from taskdata.file_formats.declaration import Layers
from taskdata.formats.base import LayerFiles
from taskdata.formats.columns import Layer
from taskdata.formats.registry import writer
from taskdata.ledger import Loss
from taskdata.staging import staged


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
    if goal.form.beside and suffix in goal.form.suffixes:
        raise UsageError(
            f"{goal.form.phrase} is several files, and this names one",
            where=goal.named,
            remedy=f"Name a folder and give [[to={goal.format}]], or choose another format",
        )
    if goal.form.layers is Layers.SEVERAL or suffix not in goal.form.suffixes:
        with staged(goal.place, overwrite=overwrite, replaceable=goal.replaceable) as fresh:
            return write_layers([layer], None, goal, fresh)
    with staged(goal.place, overwrite=overwrite) as fresh:
        driver = writer(goal.format)
        driver.write(LayerFiles(fresh), [layer], None)
        return driver.losses([layer])

"""Layers, of a set or of results, to the disk in any format that holds layers; and what that costs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from taskdata.exchange.held import held
from taskdata.exchange.targets import Target
from taskdata.formats.base import LayerFiles
from taskdata.formats.columns import Layer
from taskdata.formats.registry import writer
from taskdata.formats.styles.simplestyle import with_simplestyle
from taskdata.isoxml.side_tables.carry import to_tables
from taskdata.isoxml.tree.document import Document
from taskdata.ledger import Loss, LossKind
from taskdata.model.carried import Carried
from taskdata.model.dataset import Dataset
from taskdata.phrases import phrase


def predict_losses_of_layers(dataset: Dataset, document: Document | None, goal: Target) -> list[Loss]:
    """Return what writing records, and the document behind them, as layers would cost; see ``predict_losses``."""
    layers, losses = held(dataset, document, goal)
    return [*losses, *writer(goal.format).losses(layers)]


def write_as_layers(dataset: Dataset, document: Document | None, goal: Target, fresh: Path) -> list[Loss]:
    """Write records, and the document behind them, as layers to the path ``fresh``; see ``write_target``."""
    layers, losses = held(dataset, document, goal)  # first: a file that cannot be read is then carried by none
    carried = to_tables(document) if document is not None and goal.carries else None
    return [*losses, *_write(layers, carried, goal, fresh)]


def write_results(layers: Sequence[Layer], goal: Target, *, overwrite: bool = False) -> list[Loss]:
    """Write layers of results as a target that is no ISO-XML, whole or not at all, and return what it cannot hold.

    A name such as ``passes.geojson`` becomes that file, with the first layer alone; a name without such a suffix a
    folder with the layers in it, as all layers of a set would be.

    Raises
    ------
    TargetError
        The target may not or could not be written.
    """
    fitting = layers[:1] if goal.is_alone else layers
    with goal.staged(overwrite=overwrite) as fresh:
        losses = _write(fitting, None, goal, fresh)
    return [*losses, *(_no_room(layer, goal) for layer in layers[len(fitting) :])]


def _no_room(layer: Layer, goal: Target) -> Loss:
    why = phrase("one {file_noun} holds one layer; name a folder or a .gpkg instead", file_noun=goal.form.file_noun)
    return Loss(LossKind.DROPPED, None, phrase("layer {name}", name=layer.name), why)


def _write(layers: Sequence[Layer], carried: Carried | None, goal: Target, fresh: Path) -> list[Loss]:
    driver = writer(goal.format)
    layers = [with_simplestyle(layer) for layer in layers] if goal.simplestyle else layers
    if not goal.is_file:
        fresh.mkdir()
    losses = driver.losses(layers)
    driver.write(LayerFiles(fresh, None if goal.is_file else goal.form.suffix), layers, carried)
    return losses

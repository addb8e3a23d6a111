"""Records, and the document behind them, to the disk in any format; and what that costs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from taskdata.errors import UsageError
from taskdata.exchange.targets import Target
from taskdata.file_formats.declaration import Carries, Layers
from taskdata.file_formats.table import ISOXML, alternatives, formats_of_layers, joined
from taskdata.formats.base import LayerFiles
from taskdata.formats.columns import Layer
from taskdata.formats.layers.of_dataset import project, unheld
from taskdata.formats.registry import writer
from taskdata.isoxml.side_tables.carry import to_tables
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.write import write_folder, write_zip, writing_changes
from taskdata.ledger import Loss, LossKind
from taskdata.model.carried import Carried
from taskdata.model.dataset import Dataset


def predict_losses(dataset: Dataset, document: Document | None, goal: Target) -> list[Loss]:
    """Return what writing records, and the document behind them, to a target would cost.

    Raises
    ------
    UsageError
        The target is one file of one layer, and there are several.
    """
    if goal.format == ISOXML:
        return writing_changes(document) if document is not None else []
    layers = _layers(dataset, document, goal)
    return [*_unheld(dataset, document, goal), *writer(goal.format).losses(layers)]


def write_target(dataset: Dataset, document: Document | None, goal: Target, fresh: Path) -> list[Loss]:
    """Write records, and the document behind them, to the path ``fresh`` that nothing stands at; return the ledger.

    Raises
    ------
    UsageError
        The target is one file of one layer, and there are several.
    """
    if goal.format == ISOXML and document is not None:
        (write_zip if goal.packed else write_folder)(document, fresh)
        return writing_changes(document)
    layers = _layers(dataset, document, goal)  # first: a file that cannot be read is then carried by none
    carried = to_tables(document) if document is not None and goal.carries else None
    return [*_unheld(dataset, document, goal), *write_layers(layers, carried, goal, fresh)]


def write_layer(layer: Layer, goal: Target, *, overwrite: bool = False) -> list[Loss]:
    """Write one layer as a target that is no ISO-XML, whole or not at all, and return what it cannot hold.

    A name such as ``passes.geojson`` becomes that file; a name without such a suffix a folder with the layer in it, as
    all layers of a set would be.

    Raises
    ------
    TargetError
        The target may not or could not be written.
    """
    with goal.staged(overwrite=overwrite) as fresh:
        return write_layers([layer], None, goal, fresh)


def write_layers(layers: Sequence[Layer], carried: Carried | None, goal: Target, fresh: Path) -> list[Loss]:
    """Write layers and side tables to the path ``fresh`` that nothing stands at; return what they lose by it."""
    driver = writer(goal.format)
    if not goal.is_file:
        fresh.mkdir()
    losses = driver.losses(layers)
    driver.write(LayerFiles(fresh, None if goal.is_file else goal.form.suffix), layers, carried)
    return losses


def _layers(dataset: Dataset, document: Document | None, goal: Target) -> list[Layer]:
    layers = project(dataset, whole=document is None or goal.is_alone)
    if goal.is_alone and len(layers) > 1:
        files = [form.suffix for form in formats_of_layers() if form.writes and form.layers is Layers.SEVERAL]
        raise UsageError(
            f"one {goal.form.file_noun} holds one layer, and there are {len(layers)}",
            where=goal.named,
            why=joined([layer.name for layer in layers], "and"),
            remedy=f"Name a folder and give [[to={goal.format}]], or name a {joined(files)} file",
        )
    return layers


def _unheld(dataset: Dataset, document: Document | None, goal: Target) -> list[Loss]:
    """Return what layers lose of a set that the target does not carry along."""
    if document is not None and goal.carries:
        return []
    if document is None:
        why = "GIS layers have no place for it, and there is no task data set behind it to carry along"
        return unheld(dataset, why)
    place = "one file of one layer" if goal.is_alone else goal.form.label
    other = "name a folder" if goal.form.carries is Carries.IN_FOLDERS else f"convert to {alternatives(goal.format)}"
    why = f"{place} has no place for the tables that carry the whole set; {other} to keep it"
    rest = Loss(LossKind.DROPPED, None, "whatever else of the task data set no column of the layer shows", why)
    return [*unheld(dataset, why), rest]

"""Records, and the document behind them, to the disk in any format; and what that costs."""

from __future__ import annotations

from pathlib import Path

from taskdata.exchange.targets import Target
from taskdata.formats.layers.of_dataset import project, unheld
from taskdata.formats.registry import DRIVERS
from taskdata.isoxml.side_tables.carry import to_tables
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.write import write_folder, write_zip, writing_changes
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset


def predict_losses(dataset: Dataset, document: Document | None, goal: Target) -> list[Loss]:
    """Return what writing records, and the document behind them, to a target would cost."""
    if goal.format == "isoxml":
        return writing_changes(document) if document is not None else []
    layers = project(dataset)
    carried = None if document is None else to_tables(document)
    return [*unheld(dataset), *DRIVERS[goal.format].losses(layers, carried)]


def write_target(dataset: Dataset, document: Document | None, goal: Target, fresh: Path) -> list[Loss]:
    """Write records, and the document behind them, to the path ``fresh`` that nothing stands at; return the ledger."""
    if goal.format == "isoxml" and document is not None:
        (write_zip if goal.packed else write_folder)(document, fresh)
        return writing_changes(document)
    if goal.format != "gpkg":
        fresh.mkdir()
    layers = project(dataset, whole=document is None)  # first: a file that cannot be read is then carried by none
    carried = None if document is None else to_tables(document)
    return [*unheld(dataset), *DRIVERS[goal.format].write(fresh, layers, carried)]

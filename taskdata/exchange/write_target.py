"""Records, and the document behind them, to the disk in any format; and what that costs."""

from __future__ import annotations

from pathlib import Path

from taskdata.exchange.targets import Target
from taskdata.file_formats.table import ISOXML
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.write import write_folder, write_zip, writing_changes
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset


def predict_losses(dataset: Dataset, document: Document | None, goal: Target) -> list[Loss]:
    """Return what writing records, and the document behind them, to a target would cost.

    Raises
    ------
    UsageError
        The target is one file of one layer, and there are several; or it holds none of the layers.
    """
    if goal.format == ISOXML:
        return writing_changes(document) if document is not None else []
    from taskdata.exchange.write_layers import predict_losses_of_layers

    return predict_losses_of_layers(dataset, document, goal)


def write_target(dataset: Dataset, document: Document | None, goal: Target, fresh: Path) -> list[Loss]:
    """Write records, and the document behind them, to the path ``fresh`` that nothing stands at; return the ledger.

    Raises
    ------
    UsageError
        The target is one file of one layer, and there are several; or it holds none of the layers.
    """
    if goal.format == ISOXML and document is not None:
        (write_zip if goal.packed else write_folder)(document, fresh)
        return writing_changes(document)
    from taskdata.exchange.write_layers import write_as_layers

    return write_as_layers(dataset, document, goal, fresh)

"""Grids of new tasks: an element (GRD) and a binary file for each."""

from __future__ import annotations

from taskdata.isoxml.binary import grid as codec
from taskdata.isoxml.facts import letter
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.to_document.fitting import Attribute
from taskdata.isoxml.to_document.points import degrees
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import LossKind
from taskdata.model.tasks import Grid
from taskdata.phrases import phrase

PLACE = (
    Attribute("GridMinimumNorthPosition", "min_lat", degrees),
    Attribute("GridMinimumEastPosition", "min_lon", degrees),
)
_GRID = (
    *PLACE,
    Attribute("GridCellNorthSize", "cell_lat", degrees),
    Attribute("GridCellEastSize", "cell_lon", degrees),
    Attribute("GridMaximumColumn", "columns"),
    Attribute("GridMaximumRow", "rows"),
    Attribute("GridType", "kind"),
    Attribute("TreatmentZoneCode", "template"),
)


def create_grid(change: DocumentChange, task: str | None, grid: Grid) -> Element | None:
    """Make a grid with its binary file in the document; None where its cells cannot be had."""
    if grid.cells is None:
        change.lose(LossKind.DROPPED, task, phrase("grid {file}", file=grid.file), phrase("its cells cannot be read"))
        return None
    name = change.free_file("GRD", grid.file)
    content = codec.encode(codec.Grid.complete(grid.cells))
    change.document.others[f"{name}.BIN"] = Blob.of(f"{name}.BIN", content)
    element = Element("GRD", {letter("GRD", "Filename"): name, letter("GRD", "Filelength"): str(len(content))})
    change.lay(element, _GRID, None, grid)
    whole = (grid.min_lat, grid.min_lon, grid.cell_lat, grid.cell_lon)
    change.rounded |= any(float(degrees(value)) != value for value in whole)
    return element

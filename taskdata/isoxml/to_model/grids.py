"""Grids (GRD): described at once, their cells read on demand."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.findings import Finding
from taskdata.isoxml.binary.grid import Grid as Decoded
from taskdata.isoxml.binary.grid import decode_codes, decode_setpoints
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.to_model.reading import Reading, Unreadable, needed_decimal, needed_integer, needed_text
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.implied import implied_type
from taskdata.isoxml.tree.notation import base_name
from taskdata.model.tasks import Grid, Setpoint

ZONE_CODES, SETPOINTS = 1, 2


def template_code(element: Element) -> str | None:
    """Return the code, as written, of the zone that tells what the values of a type 2 grid mean."""
    return element.get("TreatmentZoneCode") if element.get("GridType") in (None, str(SETPOINTS)) else None


def grid(reading: Reading, element: Element, setpoints: Sequence[Setpoint]) -> Grid:
    """Read a grid (GRD).

    Parameters
    ----------
    reading : Reading
        The run over the document.
    element : Element
        The grid.
    setpoints : sequence of Setpoint
        First-level setpoints of its template zone, in order.

    Raises
    ------
    Unreadable
        Its type, place, size or file is not given.
    """
    kind = int(implied_type(reading.document, element) or needed_integer(element, "GridType"))
    if kind not in {ZONE_CODES, SETPOINTS}:
        raise Unreadable(f"its GridType is not one that the standard lists: {kind}")
    columns, rows = needed_integer(element, "GridMaximumColumn"), needed_integer(element, "GridMaximumRow")
    if columns < 0 or rows < 0:
        raise Unreadable("its numbers of columns and rows are negative")
    file = base_name(needed_text(element, "Filename"))
    values = len(setpoints) if kind == SETPOINTS else 0
    return Grid(
        file=file,
        kind=kind,
        min_lat=needed_decimal(element, "GridMinimumNorthPosition"),
        min_lon=needed_decimal(element, "GridMinimumEastPosition"),
        cell_lat=needed_decimal(element, "GridCellNorthSize"),
        cell_lon=needed_decimal(element, "GridCellEastSize"),
        columns=columns,
        rows=rows,
        read=_reader(reading.document, file, kind, (columns, rows), values),
        template=reading.integer(element, "TreatmentZoneCode"),
        setpoints=tuple(setpoints) if kind == SETPOINTS else (),
        key=reading.key(element),
        place=reading.place(element),
    )


def _reader(
    document: Document, file: str, kind: int, size: tuple[int, int], values: int
) -> Callable[[], NDArray[np.generic] | None]:
    """Return a function that reads the cells, None where the file is missing, too short or unreadable.

    A cell that is not in the file has no rate, which is not the rate 0: such a map must not be driven.
    """

    def read() -> NDArray[np.generic] | None:
        found = _decoded(document.binary(file), kind, size, values)
        if found is None:
            return None
        return found.cells if found.present.shape == size[::-1] and found.present.all() else None

    return read


def faults(document: Document, grid: Grid) -> tuple[Finding, ...]:
    """Return what is wrong with the binary file of a grid that can be read; a grid read before is not read again.

    Nothing is said of a grid of setpoints that does not say which.
    """
    blob, size, values = document.binary(grid.file), (grid.columns, grid.rows), len(grid.setpoints)
    if blob is None or (grid.kind == SETPOINTS and not values):
        return ()
    known: tuple[Finding, ...] | None = blob.known((grid.kind, size, values))
    if known is not None:
        return known
    found = _decoded(blob, grid.kind, size, values)
    return () if found is None else found.findings


def _decoded(blob: Blob | None, kind: int, size: tuple[int, int], values: int) -> Decoded | None:
    """Return the cells that a file holds, None where it cannot be read."""
    content = None if blob is None else blob.content()
    if blob is None or content is None:
        return None
    if kind == ZONE_CODES:
        found = decode_codes(content, *size, file=blob.name)
    else:
        found = decode_setpoints(content, *size, values, file=blob.name)
    blob.remember((kind, size, values), found.findings)
    return found

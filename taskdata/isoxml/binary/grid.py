"""Binary grids of ISO 11783-10 (8.6.2, D.27): treatment zone codes (type 1) or setpoints (type 2) for square cells.

Cells run from the south-west corner eastward along a row, then row by row northward: row 0 is the southernmost, column
0 the westernmost.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata import limits
from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place
from taskdata.isoxml.binary.flat_bytes import Data, Octets, octets_of
from taskdata.isoxml.facts import binary_fields
from taskdata.raised_rules.grid.wrong_size import RULE as WRONG_SIZE


@dataclass(frozen=True, eq=False)
class Grid:
    """The cells of a grid.

    Parameters
    ----------
    cells : array
        Type 1: uint8 codes (rows, columns). Type 2: int32 raw setpoints (rows, columns, n), n in the order of the
        setpoints of the template zone.
        Both axes are empty where the size given is so far from the file's that the two cannot belong together
        (more than 256 MiB of missing cells).
    present : array of bool (rows, columns)
        False where the file was too short to hold the cell. The number in ``cells`` is then 0 and means nothing:
        such a cell has no rate, not the rate 0.
    trailing : bytes
        Bytes after the last cell, or a cell that is not whole.
    findings : tuple of Finding
        What is wrong with the file.
    """

    cells: NDArray[Any]
    present: NDArray[np.bool_]
    trailing: bytes = b""
    findings: tuple[Finding, ...] = ()

    @classmethod
    def complete(cls, cells: NDArray[Any]) -> Grid:
        """Return a grid of these cells, none of them missing."""
        return cls(cells, np.ones(cells.shape[:2], dtype=bool))


def decode_codes(data: Data, columns: int, rows: int, *, file: str | None = None) -> Grid:
    """Return a type 1 grid: ``cells`` are treatment zone codes, uint8 (rows, columns). Never fails on data."""
    (field,) = binary_fields("GRD1")
    return _decode(octets_of(data), (rows, columns), np.dtype(field.dtype), file)


def decode_setpoints(data: Data, columns: int, rows: int, setpoints: int, *, file: str | None = None) -> Grid:
    """Return a type 2 grid: ``cells`` are raw integers, int32 (rows, columns, setpoints). Never fails on data."""
    (field,) = binary_fields("GRD2")
    return _decode(octets_of(data), (rows, columns, setpoints), np.dtype(field.dtype), file)


def encode(grid: Grid) -> bytes:
    """Return the binary file of ``grid``: the cells it holds in file order, then what trailed them."""
    field = binary_fields("GRD1" if grid.cells.ndim == 2 else "GRD2")[0]
    return grid.cells[grid.present].astype(field.dtype).tobytes() + grid.trailing


def _decode(octets: Octets, shape: tuple[int, ...], dtype: np.dtype[Any], file: str | None) -> Grid:
    rows, columns, setpoints = shape[0], shape[1], (shape[2] if len(shape) > 2 else 1)
    length = setpoints * dtype.itemsize
    wanted = rows * columns
    whole = min(octets.size // length, wanted) if length else 0
    if (wanted - whole) * max(length, 1) > limits.most("grid_missing"):  # not that grid: no room is set aside
        whole, shape = 0, (0, 0, *shape[2:])
    end = whole * length
    cells = np.zeros(shape, dtype=dtype)
    cells.reshape(-1)[: whole * setpoints] = octets[:end].view(dtype)
    present = np.zeros(shape[:2], dtype=bool)
    present.reshape(-1)[:whole] = True
    findings: tuple[Finding, ...] = ()
    if octets.size != wanted * length or not wanted:
        place = Place(file=file, offset=min(octets.size, wanted * length))
        findings = (
            WRONG_SIZE.at(place, octets=octets.size, expected=wanted * length, columns=columns, rows=rows, whole=whole),
        )
    return Grid(cells, present, octets[end:].tobytes(), findings)


@dataclass(frozen=True, slots=True)
class GridPlacement:
    """Where a grid lies, WGS 84.

    Parameters
    ----------
    min_north, min_east : Decimal
        South-west corner of the south-west cell, degrees.
    cell_north, cell_east : Decimal
        Size of a cell, degrees.
    columns, rows : int
        Number of cells eastward and northward.
    """

    min_north: Decimal
    min_east: Decimal
    cell_north: Decimal
    cell_east: Decimal
    columns: int
    rows: int

    @classmethod
    def of_texts(cls, minimum: tuple[str, str], cell: tuple[str, str], columns: int, rows: int) -> GridPlacement:
        """Return a placement from decimal texts as they stand in task data, kept exactly.

        Parameters
        ----------
        minimum, cell : (str, str)
            North and east of the south-west corner; size northward and eastward of a cell. Degrees.
        columns, rows : int
            Number of cells eastward and northward.

        Raises
        ------
        decimal.InvalidOperation
            A text is not a decimal number.
        """
        north, east, cell_north, cell_east = (Decimal(text.strip()) for text in (*minimum, *cell))
        return cls(north, east, cell_north, cell_east, columns, rows)

    def edges(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return the northings of the row edges (rows + 1,) and the eastings of the column edges (columns + 1,).

        Degrees, ascending, computed in decimals and rounded once, so that neighbours share their edges exactly.
        """
        return (
            _edges(self.min_north, self.cell_north, self.rows),
            _edges(self.min_east, self.cell_east, self.columns),
        )

    def corners(self) -> NDArray[np.float64]:
        """Return the closed outline of every cell in file order, (rows x columns, 5, 2) as longitude, latitude.

        Each ring begins in the south-west and runs anticlockwise.
        """
        north, east = self.edges()
        rings = np.empty((self.rows, self.columns, 5, 2))
        west, east_side = east[:-1], east[1:]
        for corner, longitude in enumerate((west, east_side, east_side, west, west)):
            rings[:, :, corner, 0] = longitude
        south, north_side = north[:-1, np.newaxis], north[1:, np.newaxis]
        for corner, latitude in enumerate((south, south, north_side, north_side, south)):
            rings[:, :, corner, 1] = latitude
        return rings.reshape(-1, 5, 2)


def _edges(start: Decimal, step: Decimal, cells: int) -> NDArray[np.float64]:
    return np.array([float(start + step * number) for number in range(cells + 1)])

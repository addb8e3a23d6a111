"""The shapes of the rows of a delimited text, from the columns that hold coordinates."""

from __future__ import annotations

import re
from dataclasses import field

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.file_formats.delimited.angles import Axis, angle, is_packed, meaning_of_o
from taskdata.file_formats.delimited.coordinates import Coordinates
from taskdata.formats.delimited.values import Kind, made
from taskdata.formats.geometries import fixed_size_wkb

_SRID = re.compile(r"^\s*SRID=(\d+);", re.IGNORECASE)
_TOLD = 10


@dataclass
class Places:
    """Makes the geometry of rows, piece by piece.

    Parameters
    ----------
    names : tuple of str
        Names of the columns.
    found : Coordinates
        Which of them hold coordinates.
    kinds : dict of str to Kind
        What the columns hold, known before the first piece is made.
    comma : bool or None
        Whether decimals follow a comma.
    """

    names: tuple[str, ...]
    found: Coordinates
    kinds: dict[str, Kind]
    comma: bool | None
    samples: dict[Axis, list[str]]
    bad: dict[int, str] = field(default_factory=dict)
    more: int = 0
    srid: int | None = None
    _row: int = 0

    def of(self, batch: pa.RecordBatch) -> pa.Array:
        """Return the geometry of the next rows as WKB; null where there is none, or it cannot be read."""
        if self.found.shape is not None:
            made_of = self._shapes(batch.column(self.found.shape))
        else:
            made_of = fixed_size_wkb.points(self._axis(batch, Axis.LONGITUDE), self._axis(batch, Axis.LATITUDE))
        self._row += batch.num_rows
        return made_of.cast(pa.large_binary())

    def _shapes(self, texts: pa.Array) -> pa.Array:
        records: list[bytes | None] = []
        for row, text in enumerate(texts.to_pylist()):
            if text is None:
                records.append(None)
                continue
            marked = _SRID.match(text)
            if marked:
                self.srid = self.srid or int(marked[1])
            try:
                records.append(shapely.to_wkb(shapely.from_wkt(text[marked.end() :] if marked else text)))
            except shapely.errors.GEOSException as error:
                self._tell(row, str(error))
                records.append(None)
        return pa.array(records, pa.large_binary())

    def _axis(self, batch: pa.RecordBatch, axis: Axis) -> NDArray[np.float64]:
        east = axis is Axis.LONGITUDE
        column = self.found.x if east else self.found.y
        letters = self.found.x_letter if east else self.found.y_letter
        assert column is not None  # noqa: S101 - without a shape both are known
        texts, kind = batch.column(column), self.kinds[self.names[column]]
        if letters is None and kind.notation(comma=self.comma) is not None:
            return np.asarray(made(texts, kind, comma=self.comma).cast(pa.float64()).to_numpy(zero_copy_only=False))
        sides = batch.column(letters).to_pylist() if letters is not None else [None] * len(texts)
        packed = letters is not None and is_packed(self.samples[axis], axis)
        o_is = meaning_of_o([*self.samples[axis], *(side for side in sides if side)])
        values = np.full(len(texts), np.nan)
        for row, (text, side) in enumerate(zip(texts.to_pylist(), sides, strict=True)):
            if text is None:
                continue
            try:
                values[row] = angle(text, axis, side, packed=packed, o_is=o_is)
            except ValueError as error:
                self._tell(row, str(error))
        return values

    def _tell(self, row: int, why: str) -> None:
        """Remember why a row has no place; of very many the first and how many more there are."""
        number = self._row + row + 1
        if len(self.bad) < _TOLD:
            self.bad.setdefault(number, why)
        else:
            self.more += number not in self.bad


def filled(texts: pa.Array, most: int) -> list[str]:
    """Return the first texts that are not blank."""
    return [str(text) for text in pc.drop_null(texts).slice(0, most).to_pylist()]

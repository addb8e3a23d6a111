"""The rows of one shape in a layer, and what lies about them, as evidence is looked for in them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from pathlib import PurePath
from typing import Any

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.formats.base import RawTable
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.ground_facts import (
    Floats,
    Lines,
    Polygons,
    flat,
    plane_of,
    sampled,
)
from taskdata.formats.foreign.roles.layer_words import meanings_of_layer
from taskdata.geometry.shares import share_along, share_within
from taskdata.results.survey import ColumnRole

_ALONG_M = 5.0
"""Metres from the edge of a field within which its fence or hedge stands (common practice)."""


@dataclass(frozen=True)
class Layer:
    """The rows of one shape in a layer.

    Parameters
    ----------
    raw : RawTable
        The layer.
    geometries : ndarray of geometry
        Those of the shape, in degrees.
    columns : mapping of ColumnRole to tuple of str
        Which columns hold what.
    fields : ndarray of geometry or None
        Polygons of other layers that are as large as fields and that rows lie in or beside, in degrees; None where
        there are none anywhere.
    """

    raw: RawTable
    geometries: NDArray[Any]
    columns: Mapping[ColumnRole, tuple[str, ...]]
    fields: NDArray[Any] | None

    @property
    def count(self) -> int:
        """How many rows there are."""
        return len(self.geometries)

    @cached_property
    def words(self) -> tuple[str, ...]:
        """What the name of the layer and that of its file say, see `layer_words.csv`."""
        names = dict.fromkeys((self.raw.name, PurePath(self.raw.file).stem))
        return tuple(dict.fromkeys(word for name in names for word in meanings_of_layer(name)))

    def has(self, *roles: ColumnRole) -> bool:
        """Tell whether a column holds one of these."""
        return any(role in self.columns for role in roles)

    def numbers(self, role: ColumnRole) -> Floats:
        """Return the numbers in the first column of a role; empty where there is none."""
        named_by = self.columns.get(role, ())
        return column_values.numbers(self.raw.table[named_by[0]]) if named_by else np.empty(0)

    @cached_property
    def named_apart(self) -> float:
        """Share of the rows with a name that no other row has."""
        named_by = self.columns.get(ColumnRole.NAME, ())
        if not named_by or not self.count:
            return 0.0
        texts = [text for text in column_values.texts(self.raw.table[named_by[0]]) if text is not None]
        return len(set(texts)) / max(len(self.raw.table), 1)

    @cached_property
    def varying_number(self) -> str | None:
        """A column of numbers that are not all equal, nor all different as those of rows are; None without one."""
        taken = {name for role, named_by in self.columns.items() if role is not ColumnRole.RATE for name in named_by}
        names: list[str] = self.raw.table.column_names
        for name in names:
            column = self.raw.table[name]
            if name in taken or not column_values.is_number(column.type):
                continue
            known = column_values.numbers(column)
            known = known[np.isfinite(known)]
            running = pa.types.is_integer(column.type) and len(np.unique(known)) == len(known)
            if len(known) and not running and np.ptp(known) > 0.0 and known.min() >= 0.0:
                return name
        return None

    @cached_property
    def _plane(self) -> Any:
        return plane_of(self._sample)

    @cached_property
    def _sample(self) -> NDArray[Any]:
        return sampled(self.geometries)

    @cached_property
    def polygons(self) -> Polygons:
        """The rows as polygons in metres."""
        return Polygons(self._flat)

    @cached_property
    def lines(self) -> Lines:
        """The rows as lines in metres."""
        return Lines(self._flat)

    @cached_property
    def _flat(self) -> NDArray[Any]:
        return np.empty(0, dtype=object) if self._plane is None else flat(self._sample, self._plane)

    @cached_property
    def within_fields(self) -> float | None:
        """Share of the rows that lie in a polygon of another layer; None where no other has any."""
        return None if self.fields is None else share_within(self._flat, self._flat_fields)

    @cached_property
    def along_edges(self) -> float:
        """Share of the lines that run along the edge of a polygon of another layer."""
        return share_along(self._flat, self._flat_fields, _ALONG_M)

    @cached_property
    def _flat_fields(self) -> list[Any]:
        return [] if self._plane is None or self.fields is None else list(flat(self.fields, self._plane))

"""The rows of the layers of other programs, as the builders take them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import field
from functools import cached_property
from typing import Any

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.formats.base import RawTable
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.columns import unit_factor
from taskdata.formats.foreign.roles.judgement import Judgement
from taskdata.formats.foreign.roles.kind_columns import KindColumn, kind_column
from taskdata.formats.foreign.roles.layer_words import meanings_of_layer
from taskdata.formats.foreign.roles.names import joined
from taskdata.results.survey import ColumnRole


@dataclass(frozen=True, eq=False)
class Part:
    """The rows of one shape in a layer, and what they were judged to be.

    Parameters
    ----------
    raw : RawTable
        The layer.
    judgement : Judgement
        What they are.
    units : mapping of ColumnRole to str
        Units that a person says.
    """

    raw: RawTable
    judgement: Judgement
    units: Mapping[ColumnRole, str] = field(default_factory=dict)

    @cached_property
    def names(self) -> Sequence[str | None]:
        """The name of each row."""
        return joined(self.raw.table, self.judgement.columns.get(ColumnRole.NAME, ()))

    @cached_property
    def kind_column(self) -> KindColumn | None:
        """The column that says what each row is."""
        return kind_column(self.raw.table)

    @cached_property
    def kinds(self) -> Sequence[str | None]:
        """The word for a kind in each row."""
        return [None] * self.raw.table.num_rows if self.kind_column is None else self.kind_column.words

    @cached_property
    def word(self) -> str | None:
        """What the name of the layer says that its rows are, where no column does."""
        return next(iter(meanings_of_layer(self.raw.name)), None)

    def texts(self, role: ColumnRole, at: int = 0) -> Sequence[str | None]:
        """Return the texts in a column of a role, the first or another; None where there is none."""
        if (role, at) not in self._texts:
            self._texts[role, at] = self._texts_of(role, at)
        return self._texts[role, at]

    def numbers(self, role: ColumnRole) -> Sequence[float]:
        """Return the numbers in the column of a role, in metres or degrees; NaN where there is none."""
        if role not in self._numbers:
            self._numbers[role] = self._numbers_of(role)
        return self._numbers[role]

    @cached_property
    def _texts(self) -> dict[tuple[ColumnRole, int], Sequence[str | None]]:
        return {}

    @cached_property
    def _numbers(self) -> dict[ColumnRole, Sequence[float]]:
        return {}

    def _texts_of(self, role: ColumnRole, at: int) -> Sequence[str | None]:
        named_by = self.judgement.columns.get(role, ())[at:]
        return column_values.texts(self.raw.table[named_by[0]]) if named_by else [None] * self.raw.table.num_rows

    def _numbers_of(self, role: ColumnRole) -> Sequence[float]:
        named_by = self.judgement.columns.get(role, ())
        factor = unit_factor(named_by[0], role, self.units) if named_by else None
        if factor is None:
            return [math.nan] * self.raw.table.num_rows
        return np.asarray(column_values.numbers(self.raw.table[named_by[0]]) * factor).tolist()  # type: ignore[no-any-return]


@dataclass(frozen=True, eq=False)
class Feature:
    """A row: its part, its number in the table, and its geometry, which is not empty and lies on Earth."""

    part: Part
    row: int
    geometry: Any

    @property
    def table(self) -> str:
        """Name of its layer."""
        return self.part.raw.name

    @property
    def name(self) -> str | None:
        """Its name, None where it has none."""
        return self.part.names[self.row]

    @property
    def kind(self) -> str | None:
        """The word for what it is: its own, else that of its layer."""
        return self.part.kinds[self.row] or self.part.word

    def text(self, role: ColumnRole, at: int = 0) -> str | None:
        """Return what it says in a column of a role, the first or another."""
        return self.part.texts(role, at)[self.row]

    def number(self, role: ColumnRole) -> float | None:
        """Return its number in the column of a role, in metres or degrees."""
        found = self.part.numbers(role)[self.row]
        return found if math.isfinite(found) else None

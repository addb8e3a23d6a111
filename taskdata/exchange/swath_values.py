"""Measures and work states in columns of layers of machine work."""

from __future__ import annotations

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.formats.foreign.options import Said
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.column_units import factor, named
from taskdata.formats.foreign.roles.judgement import Judgement
from taskdata.results.survey import ColumnRole

_OFF = frozenset({"0", "0.0", "off", "false", "no", "aus", "nein", "nee", "non", "up"})


def measured(table: pa.Table, judged: Judgement, said: Said, role: ColumnRole) -> NDArray[np.float64] | None:
    """Return the values of a column in metres or degrees; None without one, and in a unit that is not known."""
    columns = judged.columns.get(role, ())
    size = factor(role, said.units.get(role) or named(columns[0], role).unit) if columns else None
    return None if size is None else column_values.numbers(table[columns[0]]) * size


def working(table: pa.Table, judged: Judgement) -> NDArray[np.bool_] | None:
    """Return whether each row is of work, by the first column of states; None without one."""
    columns = judged.columns.get(ColumnRole.STATE, ())
    if not columns:
        return None
    found = [str(value).strip().casefold() not in _OFF for value in table[columns[0]].to_pylist()]
    return np.array(found, dtype=np.bool_)

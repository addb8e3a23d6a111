"""Which column of a layer that another program wrote holds the names."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pyarrow as pa
import pyarrow.compute as pc

from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.times import is_called_time

_NAMES = frozenset({"name", "nam", "nm", "label", "lbl", "title", "bezeichnung", "bez", "desig", "designation", "naam"})
_TEXTS = frozenset({"text", "txt", "description", "descr", "desc", "designator", "nom", "nombre", "comment", "note"})
_FIELDS = frozenset({"field", "fld", "parcel", "partfield", "paddock", "plot", "schlag", "feld", "block"})
_STRUCTURE = r"^\s*[{\[]"
_OTHERS = frozenset({"client", "clnt", "customer", "cust", "farm", "grower", "owner", "crop", "date", "layer", "type"})


def name_column(table: pa.Table, *, of_fields: bool) -> str | None:
    """Return the likeliest column with names, None where none looks like one.

    Words in its name count most; then how many rows it fills and how much the texts differ.

    Parameters
    ----------
    of_fields : bool
        The rows are fields, so that words for fields count in favour; else they count against.
    """
    scores = {
        name: _score(name, table[name], of_fields=of_fields)
        for name in table.column_names
        if name != GEOMETRY and _is_text(table[name].type) and not is_called_time(name)
    }
    best = max(scores, key=lambda name: scores[name], default=None)
    return best if best is not None and scores[best] > 1.0 else None


def texts(table: pa.Table, column: str | None) -> list[str | None]:
    """Return the names in a column, None where a row has none."""
    if column is None:
        return [None] * table.num_rows
    values = table[column].to_pylist()
    return [str(value).strip() or None if value is not None else None for value in values]


def _score(name: str, column: pa.ChunkedArray, *, of_fields: bool) -> float:
    words = _words(name)
    score = 4.0 * any(word in _NAMES for word in words) + 2.0 * any(word in _TEXTS for word in words)
    score += (2.0 if of_fields else -3.0) * any(word in _FIELDS for word in words)
    score -= 3.0 * any(word in _OTHERS for word in words)
    filled = pc.drop_null(pc.if_else(pc.equal(column, ""), None, column))
    if not len(filled) or pc.any(pc.match_substring_regex(filled, _STRUCTURE)).as_py():
        return -1.0
    distinct = int(pc.count_distinct(filled).as_py())
    return score + len(filled) / len(column) + 2.0 * distinct / len(filled)


def _words(name: str) -> Sequence[str]:
    """Return the words of a column name, told apart by case, digits and signs."""
    spaced = re.sub(r"([a-z])([A-Z])", r"\1 \2", name)
    words = [word.lower() for word in re.split(r"[^A-Za-z]+", spaced) if word]
    for word in list(words):
        words += [start for start in _FIELDS if word.startswith(start) and word[len(start) :] in _NAMES]
        words += [end for end in _NAMES if len(end) > 2 and word.endswith(end) and word != end]
    return words


def _is_text(kind: pa.DataType) -> bool:
    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind))

"""Which columns of a layer that another program wrote hold the names."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign import words
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.times import is_called_time

_STRUCTURE = r"^\s*[{\[]"
_OTHERS = frozenset({"customer", "farm", "crop", "variety", "time", "category", "first_name"})
_ENOUGH = 1.0


def name_columns(table: pa.Table, *, of_fields: bool) -> tuple[str, ...]:
    """Return the likeliest column with names, and a second one that completes it; empty where none looks like one.

    Words in its name count most; then how many rows it fills and how much the texts differ. Where no texts are names,
    whole numbers in a column that is called a name or, of fields, a field are. A comment is a name only where no column
    is called so. A second column completes the first where it is called so too, and fills rows that the first leaves
    blank or tells rows of one name apart.

    Parameters
    ----------
    of_fields : bool
        The rows are fields, so that words for fields count in favour; else they count against.
    """
    scores = {
        name: found
        for name in table.column_names
        if name != GEOMETRY and (found := _score(name, table[name], of_fields=of_fields)) > _ENOUGH
    }
    called = any(_is_called_name(name, of_fields=of_fields) for name in scores)
    ranked = sorted(
        (name for name in scores if not called or "comment" not in words.meanings(name)), key=lambda name: -scores[name]
    )
    if not ranked:
        return ()
    best = ranked[0]
    second = next((name for name in ranked[1:] if _is_called(name) and _completes(table[best], table[name])), None)
    return (best,) if second is None else (best, second)


def joined(table: pa.Table, columns: tuple[str, ...]) -> list[str | None]:
    """Return the name of each row, None where it has none.

    Of several columns the first that is filled gives the name. Names that several rows have get what the next columns
    say of these rows behind them, with a space between.
    """
    if not columns:
        return [None] * table.num_rows
    found = column_values.texts(table[columns[0]])
    for column in columns[1:]:
        added = column_values.texts(table[column])
        several = _several(found)
        found = [_joined(*pair, apart=pair[0] in several) for pair in zip(found, added, strict=True)]
    return found


def _joined(first: str | None, second: str | None, *, apart: bool) -> str | None:
    if first is None or second is None or first == second:
        return first or second
    return f"{first} {second}" if apart else first


def _several(texts: list[str | None]) -> set[str | None]:
    return {text for text, count in Counter(texts).items() if text is not None and count > 1}


def _is_called(name: str) -> bool:
    """Tell whether a name says that a column holds names, or numbers or words beside them."""
    said = words.meanings(name)
    return bool({"name", "field"} & set(said)) and not _OTHERS & set(said)


def _is_called_name(name: str, *, of_fields: bool) -> bool:
    """Tell whether a column is called a name of its rows; of fields, a column called a field is."""
    said = words.meanings(name)
    return ("name" in said or (of_fields and "field" in said)) and not {*_OTHERS, "comment"} & set(said)


def _completes(first: pa.ChunkedArray, second: pa.ChunkedArray) -> bool:
    names, others = column_values.texts(first), column_values.texts(second)
    blanks = any(name is None and other is not None for name, other in zip(names, others, strict=True))
    several = _several(names)
    apart = [(name, other) for name, other in zip(names, others, strict=True) if name in several and other is not None]
    return blanks or len(set(apart)) > len({name for name, _ in apart})


def _score(name: str, column: pa.ChunkedArray, *, of_fields: bool) -> float:
    if is_called_time(name):
        return 0.0
    said = words.meanings(name)
    score = 4.0 * ("name" in said) + 2.0 * ("comment" in said) - 3.0 * any(word in _OTHERS for word in said)
    score += (2.0 if of_fields else -3.0) * ("field" in said)
    if column_values.is_number(column.type):
        return _of_numbers(score, said, column, of_fields=of_fields)
    if not column_values.is_text(column.type):
        return 0.0
    filled = pc.drop_null(pc.if_else(pc.equal(column, ""), None, column))
    if not len(filled) or pc.any(pc.match_substring_regex(filled, _STRUCTURE)).as_py():
        return 0.0
    distinct = int(pc.count_distinct(filled).as_py())
    return (
        score
        + len(filled) / len(column)
        + 2.0 * distinct / len(filled)
        - 1.0 * ("identifier" in said)
        + _alone(name, said)
    )


def _alone(name: str, said: list[str]) -> float:
    """Return what it counts that a column is called a name and nothing else."""
    return 2.0 * (said == ["name"] and words.split(name) == [words.bare(name)])


def _of_numbers(score: float, said: list[str], column: pa.ChunkedArray, *, of_fields: bool) -> float:
    """Return the score of a column of numbers, below that of texts: whole ones may be names where it is called so."""
    called = "name" in said or (of_fields and "field" in said)
    if not called or "measure" in said or score <= 0.0:
        return 0.0
    known = column_values.numbers(column)
    known = known[np.isfinite(known)]
    whole = len(known) > 0 and bool((known == np.floor(known)).all())
    return 1.0 + score / 100.0 + len(known) / len(column) / 100.0 if whole else 0.0

"""Which column of a layer holds what: by the words in its name, the unit in it, and its values.

An owner, a crop or a variety decides over the word *name* beside it, the last word of several measures counts, and
values that a role cannot have rule it out. What a person says comes first.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import pyarrow as pa

from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign import words
from taskdata.formats.foreign.roles import column_values, names
from taskdata.formats.foreign.roles.column_units import FACTORS, factor, named
from taskdata.formats.foreign.times import times_of
from taskdata.formats.some_rows import some_rows
from taskdata.results.survey import ColumnRole

_OWNERS = (ColumnRole.VARIETY, ColumnRole.CROP, ColumnRole.FARM, ColumnRole.CUSTOMER)
"""What decides over the words beside it, in this order: of *crop variety* the variety."""

_MEASURES = (ColumnRole.WIDTH, ColumnRole.HEADING, ColumnRole.RATE, ColumnRole.SPEED)
_BESIDE = ("name", "field", "category", "qualifier")
"""What may stand beside a word of a role and changes nothing."""

_SURE, _LIKELY, _MAYBE = 1.0, 0.8, 0.4

Roles = Mapping[ColumnRole, tuple[str, ...]]

_ROWS = 5_000
"""Rows that are enough to tell what columns hold."""


def columns_of(table: pa.Table, said: Roles, *, of_fields: bool) -> dict[ColumnRole, tuple[str, ...]]:
    """Return which columns of a table hold what; beside the names of customers the column of their first names.

    Parameters
    ----------
    table : pyarrow.Table
        The layer.
    said : mapping of ColumnRole to tuple of str
        What a person says, with names as they are in the table.
    of_fields : bool
        The rows are fields, so that words for fields speak for names.
    """
    found, table = dict(said), some_rows(table, _ROWS)
    free = [name for name in table.column_names if name != GEOMETRY]
    free = _without(free, found)
    for role in (*_OWNERS, *_MEASURES):
        if role not in found and (best := _best(table, free, role)) is not None:
            found[role] = (best,)
            free = _without(free, found)
    if len(found.get(ColumnRole.CUSTOMER, ())) == 1 and ColumnRole.CUSTOMER not in said:
        first = [name for name in free if _is_first_name(table, name)]
        found[ColumnRole.CUSTOMER] = (*found[ColumnRole.CUSTOMER], *first[:1])
    if ColumnRole.STATE not in found and (states := [name for name in free if _is_state(table, name)]):
        found[ColumnRole.STATE] = tuple(states)
    if ColumnRole.TIME not in found and (times := times_of(table.select(_without(free, found)))) is not None:
        found[ColumnRole.TIME] = times.columns
    if ColumnRole.NAME not in found:
        named_by = names.name_columns(table.select(_without(free, found)), of_fields=of_fields)
        found |= {ColumnRole.NAME: named_by} if named_by else {}
    if ColumnRole.COMMENT not in found:
        comments = [name for name in _without(free, found) if _is_comment(table, name)]
        found |= {ColumnRole.COMMENT: tuple(comments)} if comments else {}
    return found


def unit_factor(column: str, role: ColumnRole, units: Mapping[ColumnRole, str]) -> float | None:
    """Return what the unit of a column is in metres, metres a second or degrees; None for a unit that is not known."""
    return factor(role, units.get(role, named(column, role).unit))


def score(name: str, role: ColumnRole) -> float:
    """Return how much the name of a column speaks for a role, 0 to 1."""
    bare = named(name, role)
    said = words.meanings(bare.words)
    if role is ColumnRole.WIDTH and bare.unit is not None and said and set(said) == {"qualifier"}:
        return _MAYBE
    if role.value not in said:
        return 0.0
    rest = {word for word in said if word not in (role.value, *_BESIDE)}
    if role in _OWNERS:
        weaker = {owner.value for owner in _OWNERS[_OWNERS.index(role) + 1 :]}
        return 0.0 if rest - weaker - {"identifier"} else _MAYBE if "identifier" in rest else _SURE
    last = next(word for word in reversed(said) if word not in (*_BESIDE, "identifier"))
    if last != role.value or any(owner.value in said for owner in _OWNERS):
        return 0.0
    return _MAYBE if "identifier" in said else _SURE if len(said) == 1 else _LIKELY


def _best(table: pa.Table, free: Sequence[str], role: ColumnRole) -> str | None:
    """Return the column whose name speaks most for a role and whose values fit it; of equals the first."""
    scored = [(score(name, role), name) for name in free]
    for _, name in sorted((item for item in scored if item[0] > 0.0), key=lambda item: -item[0]):
        unit = factor(role, named(name, role).unit) if role in FACTORS else 1.0
        if unit is not None and column_values.fits(role, table[name], unit):
            return name
    return None


def _is_state(table: pa.Table, name: str) -> bool:
    return ColumnRole.STATE.value in words.meanings(name) and column_values.fits(ColumnRole.STATE, table[name])


def _is_first_name(table: pa.Table, name: str) -> bool:
    return "first_name" in words.meanings(name) and column_values.is_text(table[name].type)


def _is_comment(table: pa.Table, name: str) -> bool:
    return words.meanings(name)[:1] == [ColumnRole.COMMENT.value] and column_values.is_text(table[name].type)


def _without(free: Collection[str], found: Roles) -> list[str]:
    taken = {name for named_by in found.values() for name in named_by}
    return [name for name in free if name not in taken]

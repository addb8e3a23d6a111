"""What somebody changed in a row of a layer, told by comparing it with the row that was written."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import field
from enum import IntEnum
from typing import Any

from taskdata.dataclass import dataclass
from taskdata.formats.columns import GEOMETRY, ID, KEY, Column, ColumnType, GeometryType, LayerSpec, Row
from taskdata.formats.geometries import shapes
from taskdata.formats.geometries.usable import on_one_circle
from taskdata.formats.layers import wording
from taskdata.geometry import soundness

TURNED = "those beyond 180 degrees are moved by 360"


@dataclass
class Changes:
    """The changes of one row.

    Parameters
    ----------
    values : dict
        New value by column, of the columns that changed and are read back.
    moved : bool
        The geometry changed; ``geometry`` is the new one.
    refused : list of (str, object, str)
        Column, the value that it cannot hold, and what it takes.
    left : list of (str, str)
        Column, and why its change is not taken over.
    derived : list of str
        Computed columns that were changed by hand.
    turned : bool
        The new geometry had longitudes beyond 180 degrees.
    """

    values: Row = field(default_factory=dict)
    geometry: shapes.Geometry = None
    moved: bool = False
    refused: list[tuple[str, object, str]] = field(default_factory=list)
    left: list[tuple[str, str]] = field(default_factory=list)
    derived: list[str] = field(default_factory=list)
    turned: bool = False

    def __bool__(self) -> bool:
        return bool(self.values) or self.moved

    def take(self, *columns: str) -> dict[str, Any]:
        """Return the changed ones of some columns, under the name that column and attribute share."""
        return {name: self.values[name] for name in columns if name in self.values}

    def member(self, column: str, kinds: type[IntEnum]) -> dict[str, Any]:
        """Return the member that the changed word of a column stands for; an unknown word is refused."""
        return self._translated(column, lambda text: wording.member(kinds, text), empty=False)

    def number(self, column: str, named: dict[int, str]) -> dict[str, Any]:
        """Return the number that the changed word of a column stands for; an unknown word is refused."""
        return self._translated(column, lambda text: wording.number(named, text), empty=True)

    def refuse(self, column: str, value: object, takes: str) -> None:
        """Note a value that its column cannot hold."""
        self.refused.append((column, value, takes))

    def leave(self, column: str, why: str) -> None:
        """Note that a change is not taken over."""
        self.left.append((column, why))

    def _translated(self, column: str, meaning: Callable[[object], object], *, empty: bool) -> dict[str, Any]:
        if column not in self.values:
            return {}
        text = self.values[column]
        if empty and text in (None, ""):
            return {column: None}
        value = meaning(text)
        if value is None:
            self.refuse(column, text, "one of the listed words")
            return {}
        return {column: value}


def differences(spec: LayerSpec, old: Row, new: Row, tolerance: float = 0.0) -> Changes:
    """Return what changed between the row as written and the row as read.

    A column that is missing in the new row did not change. Empty text and no text are the same.

    Parameters
    ----------
    old, new : Row
        With WKB geometry, or none.
    tolerance : float
        Degrees by which coordinates may differ without having moved; not 0 where they were in another system.
    """
    changes = Changes()
    for column in spec.columns:
        if column.name not in new or column.name == KEY:
            continue
        try:
            value = coerced(column, new[column.name])
        except ValueError as error:
            if column.derived:
                changes.derived.append(column.name)
            else:
                changes.refuse(column.name, new[column.name], str(error))
            continue
        if not equal(old.get(column.name), value):
            if column.derived:
                changes.derived.append(column.name)
            elif column.name == ID:
                changes.leave(ID, "identifiers cannot change, since other rows refer to them")
            else:
                changes.values[column.name] = value
    if GEOMETRY in new:
        _compare_geometry(spec, old.get(GEOMETRY), new[GEOMETRY], changes, tolerance)
    return changes


def coerced(column: Column, value: object) -> Any:
    """Return a value as the type of its column.

    Raises
    ------
    ValueError
        It is no such value; the message says what the column takes.
    """
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return None
    try:
        found = _COERCE[column.type](value)
    except (ValueError, TypeError, OverflowError) as error:
        raise ValueError(_TAKES[column.type]) from error
    if found not in (None, "") and column.meaning is not None and column.meaning(found) is None:
        raise ValueError(f"one of {', '.join(column.words)}" if column.words else column.takes)
    return found


def equal(old: object, new: object) -> bool:
    """Return whether two values of a column mean the same; reals may differ in the last digits of a text table."""
    if old in (None, "") and new in (None, ""):
        return True
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=1e-12)
    return old == new


def fits(spec: LayerSpec, geometry: shapes.Geometry) -> bool:
    """Return whether a geometry is of the kind of a layer."""
    if spec.geometry is GeometryType.POINT:
        return bool(geometry.geom_type == "Point")
    return shapes.is_linear(geometry) if spec.geometry is GeometryType.LINE else shapes.is_polygonal(geometry)


def _compare_geometry(
    spec: LayerSpec, old: bytes | None, new: bytes | None, changes: Changes, tolerance: float
) -> None:
    if old == new:
        return
    geometry = shapes.from_wkb(new)
    if geometry is None:
        if shapes.from_wkb(old) is not None:
            if spec.may_be_empty:
                changes.moved = True
            else:
                changes.leave(GEOMETRY, "it is empty; remove the row to remove the record")
        return
    if not fits(spec, geometry):
        changes.leave(GEOMETRY, f"it is a {geometry.geom_type}")
    elif not shapes.alike(shapes.from_wkb(old), geometry, tolerance):
        found = soundness.sound(geometry)
        for part in found.left_out:
            changes.leave(GEOMETRY, part.why if found.geometry is None else f"of a part of it {part.why}")
        if found.geometry is not None:
            changes.moved, changes.geometry = True, on_one_circle(found.geometry)
            changes.turned = changes.geometry is not found.geometry


def _integer(value: Any) -> int:
    number = int(value)
    if isinstance(value, float) and number != value:
        raise ValueError
    return number


def _boolean(value: Any) -> bool:
    known = {"0": False, "1": True, "false": False, "true": True}
    return known[str(value).lower()] if str(value).lower() in known else bool(float(value))


_TAKES = {
    ColumnType.TEXT: "a text",
    ColumnType.INTEGER: "a whole number",
    ColumnType.REAL: "a number",
    ColumnType.BOOLEAN: "true or false",
    ColumnType.TIME: "a time",
    ColumnType.BINARY: "octets",
}

_COERCE: dict[ColumnType, Callable[[Any], Any]] = {
    ColumnType.TEXT: lambda value: value if isinstance(value, str) else str(value),
    ColumnType.INTEGER: _integer,
    ColumnType.REAL: float,
    ColumnType.BOOLEAN: _boolean,
    ColumnType.TIME: lambda value: value,
    ColumnType.BINARY: bytes,
}

"""Edited rates of treatment zones, brought into the one column ``setpoints`` that zones are made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import pyarrow as pa

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.formats.base import RawTable
from taskdata.formats.columns import Row, rows_of
from taskdata.formats.edits.diff_layer import Ledger, whole_key
from taskdata.formats.edits.typed_rates import Typed, typed
from taskdata.formats.layers import zones
from taskdata.formats.layers.rates import DDI, RATE, RAW, UNIT, Stated, stated
from taskdata.formats.layers.row_edits import coerced, equal
from taskdata.model.tasks import Setpoint, Task, Zone
from taskdata.phrases import phrase

_TEXT = "setpoints"
_COLUMNS = (DDI, RATE, UNIT, RAW)


def with_setpoints(raw: RawTable | None, tasks: Sequence[Task], ledger: Ledger) -> RawTable | None:
    """Return the table of zones with all that was typed of their values in ``setpoints``, and without other columns.

    A row that was copied, as when a polygon is split, is compared with the zone that it was copied from.
    """
    if raw is None:
        return None
    known = {zone.key: zone for task in tasks for zone in task.zones if zone.key is not None}
    table, texts, rounded = raw.table, [], 0
    for index, row in enumerate(rows_of(table)):
        edit = _Edit(row, raw.number(index), _zone_of(row, known), ledger)
        texts.append(edit.text())
        rounded += edit.rounded
    if rounded:
        ledger.approximate(
            None,
            phrase("rates of {count}", count=counted(rounded, "zone")),
            phrase("each is rounded to a step that task data stores"),
        )
    rest = table.drop_columns([name for name in (*_COLUMNS, _TEXT) if name in table.column_names])
    return replace(raw, table=rest.append_column(_TEXT, pa.array(texts, pa.string())))


def _zone_of(row: Row, known: Mapping[int, Zone]) -> Zone | None:
    key = whole_key(row)
    return None if key is None else known.get(key)


@dataclass
class _Edit:
    """One row, and the zone that it was written from."""

    row: Row
    number: int
    zone: Zone | None
    ledger: Ledger
    rounded: bool = False

    def text(self) -> object:
        """Return the setpoints of the row as JSON text."""
        old = self.zone.setpoints if self.zone is not None else ()
        text = self.row.get(_TEXT, zones.written(old))
        said = zones.entries(text)
        if said is None and (self.zone is not None or text not in (None, "")):
            return text  # which is refused as what it is
        points = () if said is None else self._listed(said, old)
        first = self._first(old)
        if first is not None:
            points = self._with_first(points, first, old)
        return zones.written(tuple(points))

    def _listed(self, said: Sequence[tuple[Stated, Mapping[str, Any]]], old: Sequence[Setpoint]) -> Sequence[Setpoint]:
        """Return the setpoints of the list; those that were there where one is refused."""
        before = [stated(item) for item in old]
        points = []
        for index, (new, owners) in enumerate(said):
            same = next((at for at, one in enumerate(before) if all(map(equal, one, new))), index)
            base = old[same] if same < len(old) else None
            found = self._typed(new, base, f" in {_TEXT}")
            if found.raw is None:
                return old
            points.append(_setpoint(new.ddi, found.raw, base, owners))
        return points

    def _first(self, old: Sequence[Setpoint]) -> Setpoint | None:
        """Return the setpoint that the columns say, None where they did not change or what they say is refused."""
        before = stated(old[0]) if old else Stated()
        new = Stated(*(self._cell(name, value) for name, value in zip(_COLUMNS, before, strict=True)))
        if all(map(equal, before, new)):
            return None
        base = old[0] if old else None
        found = self._typed(new, base, "")
        owners = {"product": base.product, "part": base.part} if base is not None else {}
        return None if found.raw is None else _setpoint(new.ddi, found.raw, base, owners)

    def _with_first(self, points: Sequence[Setpoint], first: Setpoint, old: Sequence[Setpoint]) -> Sequence[Setpoint]:
        """Return setpoints with the first one as the columns say it; that they say otherwise than the list is told."""
        if not points:
            return (first,)
        given = points[0]
        changed = replace(given, ddi=first.ddi, value=first.value, presentation=first.presentation)
        if changed != given and (not old or given != old[0]):
            said = stated(given)
            what = phrase(
                "the first of {text}, {raw} {unit}",
                text=_TEXT,
                raw=said.raw if said.rate is None else f"{said.rate:.10g}",
                unit=said.unit or "",
            )
            self._tell([(what.rstrip(), f"{RATE} and {UNIT} of the row count")])
        return (changed, *points[1:])

    def _cell(self, name: str, before: object) -> Any:
        """Return a cell as the type of its column; what is none is refused, and what was there stands for it."""
        if name not in self.row:
            return before
        try:
            return coerced(zones.SPEC.by_name[name], self.row[name])
        except ValueError as error:
            self._refuse(name, self.row[name], str(error))
            return before

    def _typed(self, new: Stated, base: Setpoint | None, within: str) -> Typed:
        shown = base.presentation if base is not None and base.ddi == new.ddi else None
        alone = bool(within) and new.rate is None and new.unit is None
        old = None if base is None or alone else stated(base)
        found = typed(new, old, None if shown is None else shown.usable)
        if found.refused is not None:
            column, value, takes = found.refused
            self._refuse(f"{column}{within}", value, takes)
        self._tell(found.told)
        self.rounded = self.rounded or found.rounded
        return found

    def _refuse(self, column: str, value: object, takes: str) -> None:
        self.ledger.refuse((zones.SPEC.name, self.number), self.row.get("task"), (column, value, takes))

    def _tell(self, told: Sequence[tuple[str, str]]) -> None:
        for what, why in told:
            self.ledger.change(
                self.row.get("task"),
                phrase("{what} of row {number} of {name}", what=what, number=self.number, name=zones.SPEC.name),
                why,
            )


def _setpoint(ddi: int | None, raw: int, base: Setpoint | None, owners: Mapping[str, Any]) -> Setpoint:
    shown = base.presentation if base is not None and base.ddi == ddi else None
    return Setpoint(ddi or 0, raw, **owners, presentation=shown)

"""Fields put together again from what became of their parts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field, replace
from typing import Any

from taskdata.dataclass import dataclass
from taskdata.formats.columns import GEOMETRY, Row
from taskdata.formats.edits.diff_layer import LayerDiff, Ledger
from taskdata.formats.edits.unused_id import unused_id
from taskdata.formats.layers.wording import is_identifier
from taskdata.geometry.nearest import NEAR_M, Sites
from taskdata.model.fields import Field, GuidanceGroup, GuidanceLine
from taskdata.model.shapes import Area, AreaKind, Line, Point
from taskdata.phrases import phrase


@dataclass
class FieldDraft:
    """A field while it is put together."""

    record: Field
    boundaries: list[Area] = field(default_factory=list)
    areas: list[Area] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)
    groups: list[GuidanceGroup] = field(default_factory=list)

    @classmethod
    def of(cls, record: Field) -> FieldDraft:
        """Return a plot with everything that a field holds."""
        parts = (record.boundaries, record.areas, record.lines, record.points, record.groups)
        return cls(record, *(list(part) for part in parts))  # type: ignore[arg-type]

    def finished(self) -> Field:
        """Return the field; the identical record where nothing in it changed."""
        parts = {name: tuple(getattr(self, name)) for name in ("boundaries", "areas", "lines", "points", "groups")}
        changed = {name: part for name, part in parts.items() if not identical(part, getattr(self.record, name))}
        return replace(self.record, **changed) if changed else self.record  # type: ignore[arg-type]


@dataclass
class LayerDiffs:
    """What became of the records of the layers of fields."""

    fields: LayerDiff[Field]
    areas: LayerDiff[Area]
    lines: LayerDiff[Line]
    guidance: LayerDiff[GuidanceLine]
    points: LayerDiff[Point]


class FieldMerger:
    """All fields while they are put together.

    Parameters
    ----------
    base : tuple of Field
        As they were.
    found : LayerDiffs
    ledger : Ledger
    fallback : str
        Name of a field that is made for records which belong to none.
    """

    def __init__(self, base: Sequence[Field], found: LayerDiffs, ledger: Ledger, fallback: str) -> None:
        self.ledger = ledger
        self.fallback = fallback
        self.used = _identifiers(base)
        self.removed: set[str] = set()
        self.plots: list[FieldDraft] = []
        self._sites: Sites | None = None
        self._apart: FieldDraft | None = None
        self.moved: list[tuple[str, Row, Any]] = []
        for old in base:
            self._keep(old, found)
        self.by_id: dict[str, FieldDraft] = {}
        for plot in self.plots:
            self.by_id.setdefault(plot.record.id, plot)
        for _, record in found.fields.added:
            self.add_field(record)

    def add_field(self, record: Field) -> FieldDraft:
        """Add a new field; one without an identifier, or with one that is taken, gets a free one."""
        identifier = record.id if record.id and record.id not in self.used else unused_id("PFD", self.used)
        self.used.add(identifier)
        plot = FieldDraft.of(replace(record, id=identifier))
        self.plots.append(plot)
        self._sites = None
        self.by_id.setdefault(record.id or identifier, plot)
        self.by_id.setdefault(identifier, plot)
        return plot

    def place(self, layer: str, row: Row, record: Any) -> None:
        """Put a record that is new, or that changed its field, where it belongs."""
        plot = self._owner(layer, row, record)
        if plot is None:
            return
        if record.id is not None and record.id in self.used:
            record = replace(record, id=None)
        elif record.id is not None:
            self.used.add(record.id)
        if layer == "guidance_lines":
            _into_group(plot, row.get("group"), row.get("group_name"), record)
        elif layer == "areas":
            self._place_area(plot, row.get("guidance"), record)
        else:
            getattr(plot, layer).append(record)

    def finished(self) -> tuple[Field, ...]:
        """Return all fields in their order, new ones last."""
        return tuple(plot.finished() for plot in self.plots)

    def _keep(self, old: Field, found: LayerDiffs) -> None:
        record = old if old.key is None else found.fields.kept.get(old.key)
        if record is None:
            self.removed.add(old.id)
            self._name_orphans(old, found)
            return
        plot = FieldDraft.of(record)
        plot.areas = self._remaining(old.id, old.areas, found.areas, "areas")
        plot.boundaries += [area for area in plot.areas if area.kind is AreaKind.BOUNDARY and area not in old.areas]
        plot.areas = [area for area in plot.areas if area not in plot.boundaries]
        plot.lines = self._remaining(old.id, old.lines, found.lines, "lines")
        plot.points = self._remaining(old.id, old.points, found.points, "points")
        plot.groups = [
            group for group in (self._group(old.id, item, found) for item in old.groups) if group is not None
        ]
        self.plots.append(plot)

    def _group(self, owner: str, old: GuidanceGroup, found: LayerDiffs) -> GuidanceGroup | None:
        lines = []
        for line in self._remaining(owner, old.lines, found.guidance, "guidance_lines"):
            areas = tuple(self._remaining(owner, line.boundaries, found.areas))
            lines.append(line if identical(areas, line.boundaries) else replace(line, boundaries=areas))
        for line in old.lines:
            if line.key is not None and line.key not in found.guidance.kept:
                self._name_lost_areas(line.name or line.id, line.boundaries, found)
        boundaries = tuple(self._remaining(owner, old.boundaries, found.areas))
        if old.lines and not lines:
            self._name_lost_areas(old.name or old.id, old.boundaries, found)
            return None
        if identical(lines, old.lines) and identical(boundaries, old.boundaries):
            return old
        return replace(old, lines=tuple(lines), boundaries=boundaries)

    def _remaining(self, owner: str, old: Iterable[Any], found: LayerDiff[Any], layer: str | None = None) -> list[Any]:
        """Return what is left of the records of one owner; what changed its owner waits to be placed."""
        left = []
        for item in old:
            record = item if item.key is None else found.kept.get(item.key)
            if record is None:
                continue
            values = found.changes[item.key].values if item.key in found.changes else {}
            if layer is not None and (values.get("field") or values.get("group")):
                self.moved.append((layer, {"field": owner} | values, replace(record, key=None, id=None)))
            else:
                left.append(record)
        return left

    def _name_orphans(self, old: Field, found: LayerDiffs) -> None:
        parts = ((old.areas, found.areas), (old.lines, found.lines), (old.guidance, found.guidance))
        for records, outcome in (*parts, (old.points, found.points)):
            for record in records:
                if record.key in outcome.kept:
                    self.ledger.drop(
                        record.id or old.id,
                        phrase("{name} of {id}", name=record.name or record.id, id=old.id),
                        phrase("its field was removed"),
                    )

    def _name_lost_areas(self, owner: str | None, areas: Iterable[Area], found: LayerDiffs) -> None:
        """Name the areas that are still in their layer, yet go with the guidance that they belonged to."""
        for area in areas:
            if area.key in found.areas.kept:
                self.ledger.drop(
                    area.id,
                    phrase("area {name} of {owner}", name=area.name or area.id or "", owner=owner),
                    phrase("its guidance was removed"),
                )

    def _owner(self, layer: str, row: Row, record: Any) -> FieldDraft | None:
        wanted = row.get("field")
        if wanted in self.by_id:
            return self.by_id[wanted]
        if wanted in self.removed:
            self.ledger.drop(
                record.id,
                phrase("{name} of {layer}", name=record.name or "a new row", layer=layer),
                phrase("its field {wanted} was removed", wanted=wanted),
            )
            return None
        if not wanted:
            return self._nearest(layer, row, record)
        named = [plot for plot in self.plots if plot.record.name == wanted]
        if len(named) == 1:
            return named[0]
        if not is_identifier("PFD", wanted):
            takes = f"the identifier or the name of a field; {len(named) or 'none'} have that name"
            self.ledger.refuse((layer, (record.place.record or 0) + 1), record.id, ("field", wanted, takes))
            return None
        plot = self.add_field(Field(id=wanted, name=wanted))
        why = phrase("the layers have no such field")
        self.ledger.change(
            record.id,
            phrase(
                "field {wanted} is created for {name} of {layer}",
                wanted=wanted,
                name=record.name or "a new row",
                layer=layer,
            ),
            why,
        )
        return plot

    def _nearest(self, layer: str, row: Row, record: Any) -> FieldDraft:
        """Return the field that a new row lies in or near, else the one that takes all that belong to no field."""
        geometry = row.get(GEOMETRY)
        if self._sites is None:
            self._sites = Sites([plot.boundaries or plot.record.boundaries for plot in self.plots])
        near = None if geometry is None else self._sites.nearest(geometry)
        if near is not None:
            return self.plots[near.index]
        why = phrase("it is more than {near_m:.0f} m from every field", near_m=NEAR_M)
        if geometry is None or not len(self._sites.known):
            why = phrase("its position is not known") if geometry is None else phrase("no field has a boundary")
            if len(self.plots) == 1:
                return self.plots[0]
        if self._apart is None:
            self._apart = self.add_field(Field(id="", name=self.fallback))
        what = phrase(
            "{name} of {layer} goes into {id}, {fallback}",
            name=record.name or "a new row",
            layer=layer,
            id=self._apart.record.id,
            fallback=self.fallback,
        )
        self.ledger.change(record.id, what, why)
        return self._apart

    def _place_area(self, plot: FieldDraft, guidance: str | None, area: Area) -> None:
        if guidance:
            for index, group in enumerate(plot.groups):
                if guidance in {group.id, group.name}:
                    plot.groups[index] = replace(group, boundaries=(*group.boundaries, area))
                    return
                for number, line in enumerate(group.lines):
                    if guidance in {line.id, line.name}:
                        valid = replace(line, boundaries=(*line.boundaries, area))
                        lines = (*group.lines[:number], valid, *group.lines[number + 1 :])
                        plot.groups[index] = replace(group, lines=lines)
                        return
            self.ledger.drop(
                plot.record.id,
                phrase("guidance {guidance} of a new area", guidance=guidance),
                phrase("the field has no guidance of that name"),
            )
        if area.kind is AreaKind.BOUNDARY and not guidance:
            plot.boundaries.append(area)
            self._sites = None
        else:
            plot.areas.append(area)


def identical(new: Sequence[object], old: Sequence[object]) -> bool:
    """Return whether two sequences hold the very same records."""
    return len(new) == len(old) and all(first is second for first, second in zip(new, old, strict=True))


def _into_group(plot: FieldDraft, wanted: str | None, name: str | None, line: GuidanceLine) -> None:
    """Put a line into the group it names, a new one of that identifier and name, or the first one."""
    for index, group in enumerate(plot.groups):
        if not wanted or wanted in {group.id, group.name}:
            plot.groups[index] = replace(group, lines=(*group.lines, line))
            return
    identifier = wanted if wanted and is_identifier("GGP", wanted) else None
    name = name or (wanted if identifier is None else None)
    plot.groups.append(GuidanceGroup(lines=(line,), id=identifier, name=name or None))


def _identifiers(fields: Sequence[Field]) -> set[str]:
    """Return every identifier of fields and what they hold."""
    found: set[str | None] = set()
    for item in fields:
        found.add(item.id)
        parts: tuple[Any, ...] = (
            *item.boundaries,
            *item.areas,
            *item.lines,
            *item.points,
            *item.groups,
            *item.guidance,
        )
        found |= {part.id for part in parts}
        found |= {area.id for group in item.groups for area in group.boundaries}
        found |= {area.id for line in item.guidance for area in line.boundaries}
    return {identifier for identifier in found if identifier}

"""What is told of how a layer of another program was read: what it is, which columns were used, and which were not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from taskdata.findings import Finding, Place
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.features import Feature, Part
from taskdata.formats.foreign.roles.column_units import DEFAULTS, named
from taskdata.raised_rules.import_.columns_left_out import RULE as COLUMNS_LEFT_OUT
from taskdata.raised_rules.import_.columns_taken import RULE as COLUMNS_TAKEN
from taskdata.raised_rules.import_.kind_set_aside import RULE as KIND_SET_ASIDE
from taskdata.raised_rules.import_.layer_taken_as import RULE as LAYER_TAKEN_AS
from taskdata.raised_rules.import_.names_missing import RULE as NAMES_MISSING
from taskdata.raised_rules.import_.names_repeated import RULE as NAMES_REPEATED
from taskdata.raised_rules.import_.rates_set_aside import RULE as RATES_SET_ASIDE
from taskdata.results.survey import ColumnRole, ItemKind

_CERTAIN = 0.8
_SHOWN = 10

_USED = {
    ItemKind.FIELD: (ColumnRole.CUSTOMER, ColumnRole.FARM, ColumnRole.CROP, ColumnRole.VARIETY),
    ItemKind.GUIDANCE: (ColumnRole.WIDTH, ColumnRole.HEADING),
    ItemKind.LINE: (ColumnRole.WIDTH,),
}
"""What is read of things of a kind, besides their names."""

_WORDS = {
    ItemKind.FIELD: "fields",
    ItemKind.AREA: "areas in fields",
    ItemKind.GUIDANCE: "guidance lines",
    ItemKind.LINE: "plain lines",
    ItemKind.SWATH: "swaths of a machine",
    ItemKind.POINT: "points",
    ItemKind.LOG: "a log",
    ItemKind.RATEMAP: "a rate map",
    ItemKind.OTHER: "something else",
}


def set_aside(part: Part) -> Finding:
    """Return that the rows of a part are not read."""
    judgement = part.judgement
    place, layer, share = Place(file=part.raw.file), part.raw.label, f"{judgement.confidence:.0%}"
    if judgement.kind is ItemKind.RATEMAP:
        return RATES_SET_ASIDE.at(place, layer=layer, share=share, reason=judgement.why)
    return KIND_SET_ASIDE.at(place, layer=layer, kind=_WORDS[judgement.kind], share=share, reason=judgement.why)


def told_of(parts: Sequence[Part]) -> Iterator[Finding]:
    """Yield what is uncertain of the parts of a layer that are read, and what is made of its columns."""
    raw = parts[0].raw
    place = Place(file=raw.file)
    for part in parts:
        if part.judgement.confidence < _CERTAIN:
            yield LAYER_TAKEN_AS.at(
                place,
                layer=raw.label,
                kind=_WORDS[part.judgement.kind],
                share=f"{part.judgement.confidence:.0%}",
                reason=part.judgement.why,
            )
    used = {role: named_by for part in parts for role, named_by in _used(part).items()}
    if used:
        told = ", ".join(f"{_what(role, parts)} from {_columns(role, names, parts)}" for role, names in used.items())
        yield COLUMNS_TAKEN.at(place, layer=raw.label, columns=told)
    yield from _left_out(parts, {name for named_by in used.values() for name in named_by})


def told_of_names(features: Sequence[Feature]) -> Iterator[Finding]:
    """Yield which names several of the rows that become fields have, and how many have none, layer by layer."""
    for label in dict.fromkeys(feature.part.raw.label for feature in features):
        rows = [feature for feature in features if feature.part.raw.label == label]
        place, names = Place(file=rows[0].part.raw.file), [feature.name for feature in rows]
        several = {name: count for name, count in Counter(names).items() if count > 1 and name is not None}
        if several:
            shown = [f"{name} ({count})" for name, count in several.items()]
            shown = [*shown[:_SHOWN], *([f"{len(shown) - _SHOWN} more"] if len(shown) > _SHOWN else [])]
            yield NAMES_REPEATED.at(place, layer=label, names=", ".join(shown))
        lacking = names.count(None)
        if 0 < lacking < len(names):
            yield NAMES_MISSING.at(place, layer=label, count=lacking, total=len(names))


def _used(part: Part) -> dict[ColumnRole, tuple[str, ...]]:
    columns = part.judgement.columns
    return {role: columns[role] for role in _USED.get(part.judgement.kind, ()) if role in columns}


def _what(role: ColumnRole, parts: Sequence[Part]) -> str:
    steers = any(part.judgement.kind is ItemKind.GUIDANCE for part in parts)
    return "spacing" if steers and role is ColumnRole.WIDTH else role.value


def _columns(role: ColumnRole, names: Sequence[str], parts: Sequence[Part]) -> str:
    unit = parts[0].units.get(role) or named(names[0], role).unit or DEFAULTS.get(role)
    return " and ".join(names) + (f" (in {unit.lower()})" if unit else "")


def _left_out(parts: Sequence[Part], used: set[str]) -> Iterator[Finding]:
    raw = parts[0].raw
    names = list(dict.fromkeys(name for part in parts for name in part.judgement.columns.get(ColumnRole.NAME, ())))
    kinds = {found.name for part in parts if (found := part.kind_column) is not None}
    left = [name for name in raw.table.column_names if name not in {GEOMETRY, *names, *used, *kinds}]
    if left:
        held = " and ".join(names)
        source = f"Names in {raw.label} were read from {held}" if held else f"No column of {raw.label} holds names"
        yield COLUMNS_LEFT_OUT.at(Place(file=raw.file), layer=raw.label, names=source, columns=", ".join(left))

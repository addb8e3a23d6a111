"""A chosen part of records that no document stands behind, such as those of layers of other programs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from taskdata.adapt.choosing.picking import Picks
from taskdata.model.choice import Choice
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import LineKind
from taskdata.model.tasks import Task

R = TypeVar("R")
_KINDS = ("customers", "farms", "fields", "products", "workers", "crops", "machines", "tasks")
_NOT_DRIVEN: dict[str, Any] = {"logs": (), "swaths": (), "worked": ()}
_OF_FIELDS: Mapping[str, Callable[[Field], dict[str, Any]]] = {
    "areas": lambda item: {"areas": ()},
    "crops": lambda item: {"crop": None, "variety": None},
    "customers": lambda item: {"customer": None},
    "farms": lambda item: {"farm": None},
    "guidance": lambda item: {"groups": (), "lines": _lines(item, guidance=False)},
    "lines": lambda item: {"lines": _lines(item, guidance=True)},
    "points": lambda item: {"points": ()},
}
_OF_TASKS: Mapping[str, Callable[[Task], dict[str, Any]]] = {
    "customers": lambda item: {"customer": None},
    "farms": lambda item: {"farm": None},
    "fields": lambda item: {"field": None},
    "grids": lambda item: {"grid": None},
    "logs": lambda item: _NOT_DRIVEN,
    "machines": lambda item: {"machines": (), "connections": (), **_NOT_DRIVEN},
    "products": lambda item: {"products": ()},
    "times": lambda item: {"times": ()},
    "workers": lambda item: {"worker": None, "workers": ()},
    "zones": lambda item: {"zones": (), "grid": None, "default_zone": None, **_no_codes()},
}


def records_of(dataset: Dataset, choice: Choice, picks: Picks) -> tuple[Dataset, tuple[str, ...]]:
    """Return the chosen records, and what to know of them, as sentences.

    Parameters
    ----------
    dataset : Dataset
        Records without a document.
    choice : Choice
        What is chosen.
    picks : Picks
        What that is in this set.
    """
    out, left = set(choice.leave_out), set(choice.leave)
    of_fields = {item.id for item in dataset.fields} & out
    chosen: dict[str, list[Any]] = {
        kind: list(getattr(picks, kind, ()) if choice.names_something else getattr(dataset, kind)) for kind in _KINDS
    }
    chosen["tasks"] = [item for item in picks.tasks if item.field not in of_fields]
    chosen = {
        kind: [] if kind in left else [item for item in items if item.id not in out] for kind, items in chosen.items()
    }
    chosen["fields"] = [_without(_thinned(item, out), _OF_FIELDS, choice) for item in chosen["fields"]]
    chosen["tasks"] = [_without(item, _OF_TASKS, choice) for item in chosen["tasks"]]
    if choice.names_something:
        _add_needed(dataset, chosen, out, left)
    records = {kind: _in_order(getattr(dataset, kind), items) for kind, items in chosen.items()}
    return dataset.with_changes(**records), tuple(picks.notes)


def _add_needed(dataset: Dataset, chosen: dict[str, list[Any]], out: set[str], left: set[str]) -> None:
    """Add what the chosen records refer to, and what that refers to."""
    homes = {item.id: (kind, item) for kind in _KINDS for item in reversed(getattr(dataset, kind))}
    homes |= {part.id: ("machines", item) for item in dataset.machines for part in item.parts}
    homes |= {one.id: ("crops", item) for item in dataset.crops for one in item.varieties}
    stack = [item for items in chosen.values() for item in items]
    known = {item.id for item in stack}
    while stack:
        for target in _targets(stack.pop()):
            kind, item = homes.get(target, ("", None))
            if item is None or item.id in known or item.id in out or kind in left:
                continue
            known.add(item.id)
            chosen[kind].append(item)
            stack.append(item)


def _targets(item: Any) -> Iterator[str]:
    """Yield the identifiers that a record refers to."""
    for name in ("customer", "farm", "field", "parent", "crop", "variety", "worker", "product"):
        if isinstance(target := getattr(item, name, None), str):
            yield target
    for name in ("machines", "products", "workers"):
        yield from getattr(item, name, ())
    yield from (component.product for component in getattr(item, "components", ()))
    yield from (target for variety in getattr(item, "varieties", ()) if (target := variety.product))
    if isinstance(item, Task):
        setpoints = [
            *(item.grid.setpoints if item.grid else ()),
            *(one for zone in item.zones for one in zone.setpoints),
        ]
        yield from (target for one in setpoints for target in (one.product, one.part) if target)
        yield from (target for one in item.connections for target in (one.machine, one.other_machine))
        yield from (one.part for log in item.logs for one in log.quantities if one.part)


def _without(item: R, changes: Mapping[str, Callable[[R], dict[str, Any]]], choice: Choice) -> R:
    """Return a record without the kinds of things that are left out."""
    wanted = [changes[kind](item) for kind in choice.leave if kind in changes]
    together = {name: value for change in wanted for name, value in change.items()}
    return replace(item, **together) if together else item  # type: ignore[type-var]


def _thinned(item: Field, out: set[str]) -> Field:
    """Return a field without the areas, lines, points and guidance lines that are left out by their identifier."""
    if not out:
        return item
    thinned = (replace(one, lines=tuple(line for line in one.lines if line.id not in out)) for one in item.groups)
    groups = tuple(one for one in thinned if one.lines)
    areas = tuple(one for one in item.areas if one.id not in out)
    lines = tuple(one for one in item.lines if one.id not in out)
    points = tuple(one for one in item.points if one.id not in out)
    return replace(item, groups=groups, areas=areas, lines=lines, points=points)


def _lines(item: Field, *, guidance: bool) -> tuple[Any, ...]:
    return tuple(line for line in item.lines if (line.kind is LineKind.GUIDANCE) is guidance)


def _no_codes() -> dict[str, None]:
    return {"position_lost_zone": None, "out_of_field_zone": None}


def _in_order(records: Iterable[Any], items: Iterable[Any]) -> tuple[Any, ...]:
    """Return chosen records in the order of the whole."""
    places = {item.id: at for at, item in enumerate(records)}
    return tuple(sorted(items, key=lambda item: places.get(item.id, len(places))))

"""Which findings a cleaning would repair: it is done on a copy, and its journal says."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from taskdata.findings import Finding, Place
from taskdata.isoxml.tree.document import Document
from taskdata.repairs.registry import standings
from taskdata.repairs.run import clean
from taskdata.results.cleaning import Change, Standing


def reach(document: Document, findings: Sequence[Finding], leave: Collection[str] = ()) -> tuple[Standing | None, ...]:
    """Return for each finding under which standing a cleaning of ``document`` repairs it, None where it does not.

    Takes as long as the repairs of the rules that were found; no more than a glance where none of them has a repair.
    ``leave`` is that of ``clean``.
    """
    found = {item.rule.id for item in findings} & set(standings())
    if not found:
        return (None,) * len(findings)
    changes: dict[str, list[Change]] = {}
    for change in clean(document, review=True, only=found, leave=leave).changes:
        changes.setdefault(change.rule, []).append(change)
    return tuple(_standing(item.place, changes.get(item.rule.id, ())) for item in findings)


def _standing(place: Place, changes: Sequence[Change]) -> Standing | None:
    """Return the standing of the changes that belong to a place, the safer one where there are two."""
    own = {change.standing for change in changes if _belongs(place, change)}
    return Standing.SAFE if Standing.SAFE in own else next(iter(own), None)


def _belongs(place: Place, change: Change) -> bool:
    """Tell whether a change is at, in or around a place; a binary file belongs to the element that names it."""
    if place.path is not None and change.path is not None:
        here, there = f"{place.path}/", f"{change.path}/"
        return place.file == change.file and (here.startswith(there) or there.startswith(here))
    if place.path is None and change.path is None:
        return place.file is None or change.file is None or place.file == change.file
    return place.element is not None and place.element == change.element

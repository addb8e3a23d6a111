"""Guidance shifts (GST) in the guidance allocations (GAN) of tasks (ISO 11783-10 D.28, D.31)."""

from __future__ import annotations

from collections.abc import Collection

from taskdata.errors import UsageError
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import Loss, LossKind
from taskdata.phrases import phrase

PLANNED = "1"
_OPEN = {"1", "2", "3"}
"""Task states in which work is still to come: planned, running, paused."""

_MILLIMETRES = 2**31 - 1


def add_shifts(
    document: Document, fields: Collection[str], east_mm: int, north_mm: int, start: str
) -> tuple[int, list[Loss]]:
    """Add a guidance shift of every guidance group of some fields to each task on them that is still open.

    Parameters
    ----------
    document : Document
        Changed in place.
    fields : collection of str
        Identifiers of fields.
    east_mm, north_mm : int
        The shift.
    start : str
        Stamp of allocations that have to be made, local time.

    Returns
    -------
    count : int
        How many shifts were added.
    losses : list of Loss
        Earlier shifts of the same group that stand beside a new one.

    Raises
    ------
    UsageError
        The version of the set has no guidance shifts, the shift is too long, or no open task works along a group.
    """
    version = document.version
    if version is None or not elements()["GST"].holds(version[0]):
        raise UsageError(
            "guidance shifts exist only from version 4 on",
            where=document.source,
            remedy="Move the lines without [[as_shift]]",
        )
    if max(abs(east_mm), abs(north_mm)) > _MILLIMETRES:
        raise UsageError("the shift is too long for a guidance shift", remedy="Move the lines without [[as_shift]]")
    groups = {
        field.id: [group.id for group in field.elements("GGP") if group.id]
        for field in document.top("PFD")
        if field.id in fields
    }
    count, losses = 0, list[Loss]()
    for task in document.top("TSK"):
        if task.get("TaskStatus") not in _OPEN:
            continue
        for group in groups.get(task.get("PartfieldIdRef"), []):
            allocation = _allocation(task, group, start)
            losses += _earlier(task, allocation)
            allocation.append(_shift(group, east_mm, north_mm, allocation))
            count += 1
    if not count:
        raise UsageError(
            "no open task works in a field with guidance groups, so no shift can be entered",
            where=document.source,
            remedy="Move the lines without [[as_shift]]",
        )
    document.touch()
    return count, losses


def _allocation(task: Element, group: str, start: str) -> Element:
    """Return the allocation of a group in a task; where there is none it is made, as planned."""
    for known in task.elements("GAN"):
        if known.get("GuidanceGroupIdRef") == group:
            return known
    made = Element("GAN", {letter("GAN", "GuidanceGroupIdRef"): group}, file=task.file)
    stamp = Element("ASP", {letter("ASP", "Start"): start, letter("ASP", "Type"): PLANNED}, file=task.file)
    made.append(stamp)
    task.append(made)
    return made


def _shift(group: str, east_mm: int, north_mm: int, allocation: Element) -> Element:
    attributes = {"GuidanceGroupIdRef": group, "GuidanceEastShift": str(east_mm), "GuidanceNorthShift": str(north_mm)}
    return Element("GST", {letter("GST", name): text for name, text in attributes.items()}, file=allocation.file)


def _earlier(task: Element, allocation: Element) -> list[Loss]:
    if next(allocation.elements("GST"), None) is None:
        return []
    what = phrase(
        "the new shift of {guidance_group} comes after earlier ones",
        guidance_group=allocation.get("GuidanceGroupIdRef"),
    )
    why = phrase(
        "it depends on the terminal whether shifts add up or only the last one counts; check the first pass there"
    )
    return [Loss(LossKind.CHANGED, task.id, what, why)]

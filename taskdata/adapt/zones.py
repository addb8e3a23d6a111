"""Codes of treatment zones in a task: which are free, and which are named."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from taskdata.isoxml.to_model.grids import ZONE_CODES
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element

CODES = range(255)
"""Codes that a zone may have (ISO 11783-10, D.50)."""

_NAMING = ("DefaultTreatmentZoneCode", "PositionLostTreatmentZoneCode", "OutOfFieldTreatmentZoneCode")


def plain_code(text: str | None) -> str:
    """Return a code without blanks and leading zeros, so that ``007`` and ``7`` are one; other texts as they are."""
    bare = (text or "").strip()
    return str(int(bare)) if bare.isascii() and bare.isdigit() else text or ""


def taken_codes(task: Element) -> set[str]:
    """Return the codes of the zones of a task, as written and plain."""
    return _both(zone.get("TreatmentZoneCode") for zone in task.elements("TZN"))


def free_codes(taken: Collection[str]) -> list[str]:
    """Return the codes that are not taken, in ascending order."""
    return [str(number) for number in CODES if str(number) not in taken]


def named_codes(task: Element) -> set[str]:
    """Return the codes that a task itself names, as written and plain: by default, position lost, out of the field."""
    return _both(text for name in _NAMING if (text := task.get(name)))


def grid_codes(document: Document, task: Element) -> set[str]:
    """Return the codes that the grids of a task name: as template, or in a cell."""
    found = _both(grid.get("TreatmentZoneCode") for grid in task.elements("GRD"))
    for grid in task.elements("GRD"):
        blob = document.binary(grid.get("Filename") or "") if grid.get("GridType") == str(ZONE_CODES) else None
        if blob is not None:
            found.update(str(code) for code in set(blob.content() or b""))
    return found


def _both(texts: Iterable[str | None]) -> set[str]:
    found = {text or "" for text in texts}
    return found | {plain_code(text) for text in found}


def clear_polygons(zone: Element) -> None:
    """Take the polygons out of a zone."""
    zone.children = [child for child in zone.children if not (isinstance(child, Element) and child.tag == "PLN")]


def copied(element: Element) -> Element:
    """Return a copy with elements of its own; runs of points, which never change, are shared."""
    twin = Element(element.tag, dict(element.attributes), file=element.file, line=element.line)
    for child in element.children:
        twin.append(copied(child) if isinstance(child, Element) else child)
    return twin

"""A first profile of a terminal, from a set that the terminal itself wrote."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.model.dataset import Dataset
from taskdata.model.receiver import INFERRED, Receiver

_OF_THE_IMPLEMENT = frozenset({"DVC", "DET", "DPD", "DPT", "DVP"})


def receiver_of(document: Document, dataset: Dataset) -> Receiver:
    """Conclude what a terminal takes from what stands in a set that it wrote.

    What it wrote it can surely read; the largest counts seen are not limits but the most that is known to work. All but
    the name and the version are hints.
    """
    values: dict[str, Any] = {
        "receiver.name": _name(document),
        "receiver.versions": _versions(document),
        **_counts(document, dataset),
        **_names(document),
        **_takes(document, dataset),
    }
    known = {path: value for path, value in values.items() if value is not None}
    surely = {"receiver.name"} | ({"receiver.versions"} if document.by_tag.get("TCC") else set())
    return Receiver({**known, INFERRED.path: [path for path in known if path not in surely]})


def _name(document: Document) -> str:
    for element in document.by_tag.get("TCC", ()):
        if element.get("TaskControllerDesignator"):
            return element["TaskControllerDesignator"]
    return document.root.get("TaskControllerManufacturer") or "terminal"


def _versions(document: Document) -> list[int] | None:
    """Return what the terminal says of itself and the version it wrote; None where neither is known."""
    stated = [element.get("VersionNumber") for element in document.by_tag.get("TCC", ())]
    found = {int(text) for text in stated if text and text.isascii() and text.isdigit() and int(text) <= 4}
    if document.version is not None and document.version[0] <= 4:
        found.add(document.version[0])
    return sorted(found) or None


def _counts(document: Document, dataset: Dataset) -> dict[str, int | None]:
    rings = [ring for item in dataset.fields for area in item.boundaries for ring in (*area.exteriors, *area.interiors)]
    in_field = [sum(len(area.exteriors) + len(area.interiors) for area in item.boundaries) for item in dataset.fields]
    grids = [task.grid for task in dataset.tasks if task.grid is not None]
    blob = document.main.blob
    return {
        "limits.main_file_bytes": None if blob is None else blob.size,
        "limits.fields": len(dataset.fields) or None,
        "limits.points_in_ring": _most(len(ring) for ring in rings),
        "limits.rings_in_field": _most(in_field),
        "limits.guidance_lines": len(dataset.guidance) or None,
        "limits.points_in_line": _most(len(line.points) for line in dataset.guidance),
        "limits.tasks": len(dataset.tasks) or None,
        "limits.grid_columns": _most(grid.columns for grid in grids),
        "limits.grid_rows": _most(grid.rows for grid in grids),
    }


def _most(numbers: Iterable[int]) -> int | None:
    return max(numbers, default=0) or None


def _names(document: Document) -> dict[str, Any]:
    texts = [text for element in document.walk() for text in designators(element)]
    longest = _most(len(text) for text in texts)
    whole = "".join(texts)
    letters = "ascii" if whole.isascii() else "latin-1" if all(ord(letter) < 256 for letter in whole) else "any"
    return {"names.longest": longest, "names.characters": letters if texts else None}


def designators(element: Element) -> list[str]:
    """Return the names that a person reads and gives: designators, and the names of customers and workers.

    The texts of a device description are not among them: they come from the implement, and the terminal hands them on.
    """
    return [text for letter in designator_letters(element.tag) if (text := element.attributes.get(letter))]


@cache
def designator_letters(tag: str) -> tuple[str, ...]:
    """Return the letters of the attributes of ``tag`` that hold such names."""
    fact = elements().get(tag)
    if fact is None or tag in _OF_THE_IMPLEMENT:
        return ()
    named = (item for item in fact.attributes.values() if item.name.endswith(("Designator", "LastName", "FirstName")))
    return tuple(item.letter for item in named)


def _takes(document: Document, dataset: Dataset) -> dict[str, bool | None]:
    """Return what was seen; what was not seen may still be taken, so it is not known."""
    tags = document.by_tag
    kinds = {task.grid.kind for task in dataset.tasks if task.grid is not None}
    zones = any(zone.areas for task in dataset.tasks for zone in task.zones)
    seen = {
        "takes.guidance_groups": bool(tags.get("GPN")),
        "takes.guidance_strings": any(item.line_guidance for item in dataset.fields),
        "takes.grid_type_1": 1 in kinds,
        "takes.grid_type_2": 2 in kinds,
        "takes.polygon_zones": zones,
        "takes.external_files": bool(tags.get("XFR")),
        "takes.binary_points": any(point.get("Filename") for point in tags.get("PNT", ())),
        "takes.link_list": bool(tags.get("AFE")),
    }
    major = (document.version or (0, 0))[0]
    since = {"takes.guidance_groups": "GPN", "takes.link_list": "AFE"}
    too_late = {path for path, tag in since.items() if not elements()[tag].holds(major)}
    return {path: True if found else (False if path in too_late else None) for path, found in seen.items()}

"""One of the sets that stand side by side, with the indexes that pairing and comparing need."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.geometry.areas import on_map
from taskdata.isoxml.facts import elements
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.tree.differences import digest
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import BINARY, file_name
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.logs import Log
from taskdata.model.shapes import AreaKind, Coordinates
from taskdata.model.tasks import Grid

BOUNDARY = str(int(AreaKind.BOUNDARY))
"""Type of the polygon that bounds a field."""

_FIELDS = 1_024
"""How many fields' points are looked at at once."""
_IDENTIFYING = {"1", "2", "3"}


@dataclass(eq=False)
class Side:
    """A document with the records read from it.

    Parameters
    ----------
    document : Document
        The document.
    dataset : Dataset
        Its records.
    of_layers : bool
        It was made of layers that no task data set stands behind, so that its identifiers mean nothing to anybody.
    """

    document: Document
    dataset: Dataset
    of_layers: bool = False

    @cached_property
    def links(self) -> dict[str, frozenset[str]]:
        """What the link list says of each identifier; information links, which identify nothing, are left out."""
        found: dict[str, set[str]] = {}
        file = self.document.link_list
        for group_element in file.root.elements("LGP") if file is not None else ():
            kind = group_element.get("LinkGroupType") or ""
            if kind not in _IDENTIFYING:
                continue
            space = "|".join(
                [kind, group_element.get("ManufacturerGLN") or "", group_element.get("LinkGroupNamespace") or ""]
            )
            for link in group_element.elements("LNK"):
                target, value = link.get("ObjectIdRef"), link.get("LinkValue")
                if target and value:
                    found.setdefault(target, set()).add(f"{space}|{value.lower()}")
        return {target: frozenset(values) for target, values in found.items()}

    @cached_property
    def outlines(self) -> dict[Element, Any]:
        """The boundary of each field that has one, as a valid geometry in degrees."""
        by_key = {key: element for element, key in self.document.keys.items()}
        shapes = (
            (by_key.get(field.key if field.key is not None else -1), outline(field)) for field in self.dataset.fields
        )
        return {element: shape for element, shape in shapes if element is not None and shape is not None}

    @cached_property
    def extents(self) -> dict[Element, tuple[Coordinates, Coordinates]]:
        """South-west and north-east corner of each field whose outline tells them."""
        found: dict[Element, tuple[Coordinates, Coordinates]] = {}
        fields = self.document.top("PFD")
        for start in range(0, len(fields), _FIELDS):
            found |= _extents(fields[start : start + _FIELDS])
        return found

    def link(self, element: Element) -> frozenset[str]:
        """Return what identifies an element across sets, empty where nothing does."""
        return self.links.get(element.id or "", frozenset())

    def binary(self, element: Element) -> Blob | None:
        """Return the binary file that an element names, None where it names none that can be read."""
        name = file_name(element) if element.tag in BINARY else None
        blob = None if name is None else self.document.binary(name)
        return None if blob is None or blob.fault is not None else blob

    def digests(self, element: Element) -> tuple[bytes, ...]:
        """Return the digest of the binary file that an element names, in a list; empty without such a file."""
        blob = self.binary(element)
        found = None if blob is None or not blob.size else digest(blob)
        return () if found is None else (found,)

    @cached_property
    def logs(self) -> dict[int, Log]:
        """The logs by the key of their element."""
        return {log.key: log for task in self.dataset.tasks for log in task.logs if log.key is not None}

    @cached_property
    def grids(self) -> dict[int, Grid]:
        """The grids by the key of their element."""
        grids = (task.grid for task in self.dataset.tasks)
        return {grid.key: grid for grid in grids if grid is not None and grid.key is not None}


def _extents(fields: Sequence[Element]) -> dict[Element, tuple[Coordinates, Coordinates]]:
    """Return the corners of fields; of one across the antimeridian none, for it lies anywhere."""
    owners: list[int] = []
    rings: list[Coordinates] = []
    for at, field in enumerate(fields):
        areas = (area for area in field.elements("PLN") if area.get("PolygonType") == BOUNDARY)
        for line in (line for area in areas for line in area.elements("LSG")):
            owners.append(at)
            rings.append(line.coordinates())
    points = np.concatenate([*rings, np.empty((0, 2))])
    known = np.isfinite(points).all(axis=1)
    owner, points = np.repeat(owners, [len(ring) for ring in rings])[known], points[known]
    if not len(points):
        return {}
    first = np.flatnonzero(np.diff(owner, prepend=-1))
    low, high = np.minimum.reduceat(points, first), np.maximum.reduceat(points, first)
    small = high[:, 0] - low[:, 0] <= 180.0
    numbers = owner[first]
    return {fields[int(numbers[at])]: (low[at], high[at]) for at in np.flatnonzero(small)}


def outline(field: Field) -> Any | None:
    """Return the boundary of a field as one valid geometry in degrees, cut at the antimeridian; None without one."""
    return on_map(field.boundaries).shape


def name_of(element: Element) -> str:
    """Return the name that people know an element by, empty where it has none."""
    fact = elements().get(element.tag)
    if fact is None:
        return ""
    named = [item for item in fact.attributes.values() if item.name.endswith(("Designator", "LastName", "FirstName"))]
    return " ".join(text for item in named if (text := element.attributes.get(item.letter)))

"""Single points of a field moved in their binary files (PNT)."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from taskdata.isoxml.binary.points import PointLayout, encode, read_points
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.isoxml.tree.filenames import file_name
from taskdata.model.shapes import Coordinates

AXES = ("PointEast", "PointNorth")


def move_stored_points(document: Document, field: str, move: Callable[[Coordinates], Coordinates]) -> bool:
    """Move the points of a field that lie in binary files; all else in these stays to the byte.

    Parameters
    ----------
    document : Document
        Changed in place.
    field : str
        Identifier of the field.
    move : callable
        Takes and returns (n, 2) degrees, longitude first.

    Returns
    -------
    bool
        False where a file stays as it is: its points do not store both coordinates, or other elements name it too.
    """
    owner = document.by_id.get(field)
    children = () if owner is None else owner.children
    points = [node for node in children if isinstance(node, Element) and node.tag == POINT and file_name(node)]
    done = [_moved(document, point, move) for point in points if _there(document, point)]
    return all(done)


def _there(document: Document, point: Element) -> bool:
    blob = document.binary(str(file_name(point)))
    return blob is not None and blob.fault is None


def _moved(document: Document, point: Element, move: Callable[[Coordinates], Coordinates]) -> bool:
    blob, layout = document.binary(str(file_name(point))), PointLayout.of(point.attributes)
    users = [item for item in document.by_tag.get(POINT, []) if file_name(item) == file_name(point)]
    if len(users) > 1 or not set(AXES) <= {item.name for item in layout.fields}:
        return False
    records = read_points(blob, point.attributes)
    if blob is None or records is None:
        return False
    places = np.column_stack([records.longitude(), records.latitude()])
    known = np.isfinite(places).all(axis=1)
    moved, rows = move(places[known]), records.rows.copy()
    for axis, name in enumerate(AXES):
        steps = np.rint((moved[:, axis] - places[known, axis]) / float(layout.field(name).scale))
        rows[name][known] += steps.astype(rows.dtype[name])
    again = type(records)(layout, rows, records.trailing)
    document.others[blob.name.upper()] = Blob.of(blob.name, encode(again))
    return True

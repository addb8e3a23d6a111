"""Positions of time logs (TLG) moved in their binary files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from taskdata.isoxml.document import Document
from taskdata.isoxml.source import Blob
from taskdata.isoxml.timelog.decode import decode
from taskdata.isoxml.timelog.encode import encode
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.to_model.logs import header_of
from taskdata.model.shapes import Coordinates

AXES = ("PositionEast", "PositionNorth")


def move_log(document: Document, file: str, move: Callable[[Coordinates], Coordinates]) -> bool:
    """Move the positions of a log in its binary file; all else stays to the octet.

    Parameters
    ----------
    document : Document
        Changed in place.
    file : str
        Base name of the log.
    move : callable
        Takes and returns (n, 2) degrees, longitude first.

    Returns
    -------
    bool
        False where header or binary file is missing, or records store no positions.
    """
    header, blob = document.header(file), document.binary(file)
    time = None if header is None else next((item for item in header.root.walk() if item.tag == "TIM"), None)
    if header is None or blob is None or time is None:
        return False
    layout = Layout.of(header_of(time), header.name)
    fields = {field.name: field for field in layout.fields}
    if not set(AXES) <= set(fields):
        return False
    log = decode(blob.read(), layout, file=blob.name)
    places = np.column_stack([log.longitude(), log.latitude()])
    known = np.isfinite(places).all(axis=1)
    rows = log.rows.copy()
    moved = move(places[known])
    for axis, name in enumerate(AXES):
        rows[name][known] = np.rint(moved[:, axis] / float(fields[name].scale)).astype(rows.dtype[name])
    document.others[blob.name.upper()] = Blob.of(blob.name, encode(replace(log, rows=rows)))
    return True

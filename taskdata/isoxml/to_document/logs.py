"""Positions of time logs (TLG) moved in their binary files."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.geometry.plane import LocalPlane
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.timelog.encode import encode
from taskdata.isoxml.timelog.files import read_log
from taskdata.isoxml.tree.document import Document
from taskdata.model.shapes import Coordinates

_POLE = 90.0

AXES = ("PositionEast", "PositionNorth")


@dataclass(frozen=True, slots=True)
class MovedLog:
    """What moving a log came to.

    Parameters
    ----------
    positions : int
        How many positions moved.
    east_m, north_m : float
        By how much they moved on average, after rounding to the step of the file; nan without a position.
    most_m : float
        The farthest that one of them lies from where it was to go.
    step_deg : float
        The step of the file: positions are whole multiples of it.
    """

    positions: int
    east_m: float
    north_m: float
    most_m: float
    step_deg: float


def move_log(document: Document, file: str, move: Callable[[Coordinates], Coordinates]) -> MovedLog | None:
    """Move the positions of a log in its binary file; all else stays to the byte.

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
    MovedLog or None
        None where header or binary file cannot be read, or records store no positions.
    """
    blob, log = document.binary(file), read_log(document, file)
    fields = {} if log is None else {field.name: field for field in log.layout.fields}
    if blob is None or log is None or not set(AXES) <= set(fields):
        return None
    places = np.column_stack([log.longitude(), log.latitude()])
    known = np.isfinite(places).all(axis=1)
    rows = log.rows.copy()
    moved = move(places[known])
    for axis, name in enumerate(AXES):
        rows[name][known] = np.rint(moved[:, axis] / float(fields[name].scale)).astype(rows.dtype[name])
    written = replace(log, rows=rows)
    document.others[blob.name.upper()] = Blob.of(blob.name, encode(written))
    stored = np.column_stack([written.longitude(), written.latitude()])[known]
    return _outcome(places[known], moved, stored, float(fields[AXES[0]].scale))


def _outcome(before: Coordinates, meant: Coordinates, stored: Coordinates, step: float) -> MovedLog:
    """Return by how much positions moved, and how far they lie from where they were meant to go."""
    real = (np.abs(before[:, 1]) <= _POLE) & (np.abs(before[:, 0]) <= 2.0 * _POLE)
    before, meant, stored = before[real], meant[real], stored[real]
    if not len(before):
        return MovedLog(0, math.nan, math.nan, 0.0, step)
    plane = LocalPlane.centred_on(before)
    came = plane.forward(stored)
    east, north = (came - plane.forward(before)).mean(axis=0)
    off = float(np.hypot(*(came - plane.forward(meant)).T).max())
    return MovedLog(len(before), float(east), float(north), off, step)

"""Fields of the Lindhollen valley given in metres, and drives over them."""

import numpy as np

from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.model.shapes import Area, AreaKind

PLANE = LocalPlane(7.0, 54.3)
ORIGIN = PLANE.inverse([(0.0, 0.0)])[0]


def box(west, south, east, north):
    """The corners of a rectangle."""
    return [(west, south), (east, south), (east, north), (west, north)]


def area(*rings, kind=AreaKind.BOUNDARY):
    """An area of an outer ring and holes, metres."""
    outer, *inner = (PLANE.inverse(ring) for ring in rings)
    return Area(kind, (outer,), tuple(inner))


def line(kind, points, **values):
    """A guidance line through places in metres."""
    return GuidanceLine(kind, PLANE.inverse(points), **{"id": "GPN1", "name": "line", **values})


def ab(a, b, **values):
    """An AB line."""
    return line(GuidanceKind.AB, [a, b], **values)


def field(*boundaries, lines=(), valid=(), name="Lange Wende", number=1):
    """A field with one guidance group."""
    groups = (GuidanceGroup(tuple(lines), id="GGP1", boundaries=tuple(valid)),) if lines else ()
    return Field(f"PFD{number}", name, boundaries=tuple(boundaries), groups=groups)


def farm(*fields, **values):
    """A set of fields."""
    return Dataset("made here", "isoxml", fields=tuple(fields), **values)


def metres(lonlat):
    """Degrees in the plane of the valley."""
    return PLANE.forward(lonlat)


def serpentine(offsets, length=200.0, step=0.5, speed=2.5):
    """A drive to and fro along the given offsets from the north axis, with half circles between; and its seconds."""
    parts = []
    for number, x in enumerate(offsets):
        y = np.arange(0.0, length + step / 2.0, step)
        parts.append(np.column_stack([np.full(len(y), x), y])[:: 1 if number % 2 == 0 else -1])
        if number + 1 < len(offsets):
            radius = (offsets[number + 1] - x) / 2.0
            angle = np.linspace(0.0, np.pi, 30)[1:-1]
            top, up = (length, 1.0) if number % 2 == 0 else (0.0, -1.0)
            turn = np.column_stack([x + radius - radius * np.cos(angle), top + up * np.abs(radius) * np.sin(angle)])
            parts.append(turn)
    track = np.vstack(parts)
    travelled = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(track, axis=0).T))])
    return track, travelled / speed

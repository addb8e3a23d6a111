"""Where a set lies: its centre and the box around it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from taskdata.geometry.arrays import Points, median
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.log_extent import frame_of, possible, whole_turns_off
from taskdata.model.logs import Log
from taskdata.model.shapes import Area

_PLACES = 1 << 16
_DIGITS = 7
"""A position in degrees is shown to about a centimetre."""


def centre(dataset: Dataset) -> tuple[float, float] | None:
    """Return the middle of a set as longitude and latitude in degrees, None where nothing in it has a place.

    Each field counts as the middle of the box around its boundary, without one around all that lies in it; of several
    fields the median counts, so that one that is astray moves nothing. Of a set without fields it is the middle of the
    box around its logs.
    """
    boxes = [box for field in dataset.fields if (box := _box(_field_places(field))) is not None]
    boxes = boxes or [box for box in (_around(_log_frames(dataset)),) if box is not None]
    if not boxes:
        return None
    corners = np.array(boxes)
    middles = whole_turns_off((corners[:, :2] + corners[:, 2:]) / 2.0)
    lon, lat = median(middles).tolist()
    return _longitude(lon), round(lat, _DIGITS)


def bounds(dataset: Dataset) -> tuple[float, float, float, float] | None:
    """Return the box around a set as west, south, east, north in degrees, None where nothing in it has a place.

    It holds the fields with all that lies in them, without any fields the logs. West is larger than east where it lies
    across 180 degrees.
    """
    fields = bounds_of(places for field in dataset.fields for places in _all_places(field))
    return fields or _bounds(_around(_log_frames(dataset)))


def bounds_of_log(log: Log) -> tuple[float, float, float, float] | None:
    """Return the box around the positions of a log, as ``bounds_of`` does; None where it has none or is unreadable."""
    extent = log.extent
    return None if extent is None or extent.frame is None else _bounds(_around([extent.frame]))


def bounds_of(parts: Iterable[Points]) -> tuple[float, float, float, float] | None:
    """Return the box around positions as west, south, east, north in degrees, None where none of them can be true.

    West is larger than east where they lie across 180 degrees.
    """
    return _bounds(_box(parts))


def _bounds(box: tuple[float, float, float, float] | None) -> tuple[float, float, float, float] | None:
    """Return a box whose east may lie beyond 180 degrees as it is shown."""
    if box is None:
        return None
    west, south, east, north = box
    return _longitude(west), round(south, _DIGITS), _longitude(east), round(north, _DIGITS)


def _box(parts: Iterable[Points]) -> tuple[float, float, float, float] | None:
    """Return the box around places that can be true; its east may lie beyond 180 degrees."""
    first: Points | None = None
    frames: list[Points] = []
    for piece in _pieces(parts):
        places = possible(piece)
        if not len(places):
            continue
        first = places[:1] if first is None else first
        frame = frame_of(np.vstack([first, places]))
        frames += () if frame is None else (frame[1:],)
    if not frames:
        return None
    (west, south), (east, north) = np.min(frames, axis=(0, 1)).tolist(), np.max(frames, axis=(0, 1)).tolist()
    return west, south, east, north


def _pieces(parts: Iterable[Points]) -> Iterator[Points]:
    """Yield parts put together, some ten thousand places at a time."""
    waiting: list[Points] = []
    count = 0
    for part in parts:
        waiting.append(part)
        count += len(part)
        if count >= _PLACES:
            yield np.vstack(waiting)
            waiting, count = [], 0
    if waiting:
        yield np.vstack(waiting)


def _around(parts: Sequence[Points]) -> tuple[float, float, float, float] | None:
    frame = frame_of(np.vstack(parts)) if parts else None
    if frame is None:
        return None
    (west, south), (east, north) = frame[1].tolist(), frame[2].tolist()
    return west, south, east, north


def _longitude(value: float) -> float:
    """Return a longitude in [-180, 180), rounded before it is brought there."""
    return round((round(value, _DIGITS) + 180.0) % 360.0 - 180.0, _DIGITS)


def _field_places(field: Field) -> Iterator[Points]:
    found = list(_rings(field.boundaries))
    yield from found if any(len(possible(ring)) for ring in found) else _all_places(field)


def _all_places(field: Field) -> Iterator[Points]:
    yield from _rings((*field.boundaries, *field.areas))
    yield from (line.points for line in field.lines)
    yield from (line.points for line in field.guidance)
    yield from (np.array([[point.lon, point.lat]]) for point in field.points)


def _rings(areas: Iterable[Area]) -> Iterator[Points]:
    return (ring for area in areas for ring in area.exteriors)


def _log_frames(dataset: Dataset) -> list[Points]:
    extents = [log.extent for task in dataset.tasks for log in task.logs]
    return [item.frame for item in extents if item is not None and item.frame is not None]

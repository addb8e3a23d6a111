"""Where a set lies: its centre and the box around it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from taskdata.geometry.arrays import Points, as_points
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area

_DIGITS = 7
"""A position in degrees is shown to about a centimetre."""


def centre(dataset: Dataset) -> tuple[float, float] | None:
    """Return the middle of a set as longitude and latitude in degrees, None where nothing in it has a place.

    Each field counts as the middle of the box around its boundary, without one around all that lies in it; of several
    fields the median counts, so that one that is astray moves nothing. Of a set without fields it is the middle of the
    box around its logs.
    """
    boxes = [box for field in dataset.fields if (box := _box(_field_places(field))) is not None]
    boxes = boxes or [box for box in (_box(_log_places(dataset)),) if box is not None]
    if not boxes:
        return None
    corners = np.array(boxes)
    middles = _whole_turns_off((corners[:, :2] + corners[:, 2:]) / 2.0)
    lon, lat = np.median(middles, axis=0).tolist()
    return _longitude(lon), round(lat, _DIGITS)


def bounds(dataset: Dataset) -> tuple[float, float, float, float] | None:
    """Return the box around a set as west, south, east, north in degrees, None where nothing in it has a place.

    It holds the fields with all that lies in them, without any fields the logs. West is larger than east where it lies
    across 180 degrees.
    """
    fields = bounds_of(places for field in dataset.fields for places in _all_places(field))
    return fields or bounds_of(_log_places(dataset))


def bounds_of(parts: Iterable[Points]) -> tuple[float, float, float, float] | None:
    """Return the box around positions as west, south, east, north in degrees, None where none of them can be true.

    West is larger than east where they lie across 180 degrees.
    """
    box = _box(parts)
    if box is None:
        return None
    west, south, east, north = box
    return _longitude(west), round(south, _DIGITS), _longitude(east), round(north, _DIGITS)


def _box(parts: Iterable[Points]) -> tuple[float, float, float, float] | None:
    """Return the box around places that can be true; its east may lie beyond 180 degrees."""
    known = [part for part in map(_possible, parts) if len(part)]
    if not known:
        return None
    places = _whole_turns_off(np.vstack(known))
    (west, south), (east, north) = places.min(axis=0).tolist(), places.max(axis=0).tolist()
    return west, south, east, north


def _possible(places: Points) -> Points:
    """Return the places that lie on the Earth, and not at 0, 0, where a position stands that was never measured."""
    places = as_points(places)
    on_earth = (np.abs(places[:, 0]) <= 180.0) & (np.abs(places[:, 1]) <= 90.0)  # false for what is no number
    return places[on_earth & places.any(axis=1)]


def _whole_turns_off(places: Points) -> Points:
    """Return places whose longitudes differ from the first one's by half a turn at most."""
    moved = places.copy()
    first = moved[0, 0]
    moved[:, 0] = first + (moved[:, 0] - first + 180.0) % 360.0 - 180.0
    return moved


def _longitude(value: float) -> float:
    """Return a longitude in [-180, 180), rounded before it is brought there."""
    return round((round(value, _DIGITS) + 180.0) % 360.0 - 180.0, _DIGITS)


def _field_places(field: Field) -> Iterator[Points]:
    found = list(_rings(field.boundaries))
    yield from found if any(len(_possible(ring)) for ring in found) else _all_places(field)


def _all_places(field: Field) -> Iterator[Points]:
    yield from _rings((*field.boundaries, *field.areas))
    yield from (line.points for line in field.lines)
    yield from (line.points for line in field.guidance)
    yield from (np.array([[point.lon, point.lat]]) for point in field.points)


def _rings(areas: Iterable[Area]) -> Iterator[Points]:
    return (ring for area in areas for ring in area.exteriors)


def _log_places(dataset: Dataset) -> Iterator[Points]:
    for task in dataset.tasks:
        for log in task.logs:
            records = log.records
            if records is not None:
                yield np.column_stack([records.lon, records.lat])

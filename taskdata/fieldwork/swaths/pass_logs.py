"""Recovered passes as logs, a log for each, and as swaths."""

from __future__ import annotations

import numpy as np

from taskdata.fieldwork.logs.logged_values import ACTUAL_WIDTH, WORK_STATE
from taskdata.fieldwork.machine.part_measures import OFFSET_Y
from taskdata.fieldwork.swaths.swath_rows import Stamps, SwathRows
from taskdata.geometry.geodesy import azimuth
from taskdata.geometry.paths import distances, lengths
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.swaths.cells import Indices
from taskdata.geometry.swaths.passes import Pass
from taskdata.model.logs import Log, Logged, LogRecords
from taskdata.model.machines import Part
from taskdata.model.swaths import Swath

_LOGGED = (WORK_STATE, ACTUAL_WIDTH, OFFSET_Y)


def stamps_of(one: Pass, rows: SwathRows) -> Stamps:
    """Return the time at each place of a pass, (s,) NaT where it is not known.

    Between the times at which rows were begun, and done, it goes on with the way, and beyond them at the pace of the
    pass.
    """
    stamps = np.full(len(one.track), np.datetime64("NaT"), dtype="datetime64[ms]")
    at, told = _told(one, rows)
    known = ~np.isnat(told)
    at, told = at[known], told[known]
    if not len(at):
        return stamps
    order = np.argsort(at, kind="stable")
    travelled = distances(one.track)
    places, since = travelled[at[order]], (told[order] - told[order][0]).astype(np.float64)
    rising = np.concatenate([[True], np.diff(np.maximum.accumulate(since)) > 0.0])
    places, since = places[rising], since[rising]
    if len(places) < 2 or not places[-1] > places[0]:
        stamps[at[order][0]] = told[order][0]
        return stamps
    pace = (since[-1] - since[0]) / (places[-1] - places[0])
    elapsed = np.interp(travelled, places, since)
    elapsed += pace * (np.maximum(travelled - places[-1], 0.0) - np.maximum(places[0] - travelled, 0.0))
    return np.asarray(told[order][0] + np.round(elapsed).astype("timedelta64[ms]"))


def _told(one: Pass, rows: SwathRows) -> tuple[Indices, Stamps]:
    """Return the places at which rows were begun or done, and when that was."""
    ways = np.flatnonzero(one.row >= 0)
    changes = one.row[ways[1:]] != one.row[ways[:-1]]
    first, last = ways[np.concatenate([[True], changes])], ways[np.concatenate([changes, [True]])]
    found = [(first, time[one.row[first]]) for time in (rows.time,) if time is not None]
    found += [(last + 1, time[one.row[last]]) for time in (rows.end,) if time is not None]
    if not found:
        return first[:0], np.empty(0, dtype="datetime64[ms]")
    at = np.concatenate([places for places, _ in found])
    return at, np.concatenate([times for _, times in found]).astype("datetime64[ms]")


def log_of(one: Pass, plane: LocalPlane, stamps: Stamps, bar: Part, file: str) -> Log:
    """Return a pass as a log of work states, widths and places on the bar; a value where it is new."""
    last = len(one.track) - 1
    on = np.ones(last + 1, dtype=np.int64)
    on[last] = 0
    columns = (on, np.round(1000.0 * one.width), np.round(1000.0 * one.offset))
    record, index, value = [], [], []
    for number, column in enumerate(columns):
        new = np.flatnonzero(np.concatenate([[True], column[1:] != column[:-1]]))
        record.append(new)
        index.append(np.full(len(new), number))
        value.append(column[new])
    every = np.concatenate(record)
    order = np.argsort(every, kind="stable")
    places = plane.inverse(one.track)
    records = LogRecords(
        time=stamps,
        lon=places[:, 0],
        lat=places[:, 1],
        up_m=None,
        status=None,
        value_record=every[order].astype(np.int64),
        value_index=np.concatenate(index)[order].astype(np.uint8),
        value=np.concatenate(value)[order].astype(np.int32),
    )
    return Log(file, tuple(Logged(ddi, bar.id, part_name=bar.name) for ddi in _LOGGED), lambda: records)


def swaths_of(one: Pass, plane: LocalPlane, stamps: Stamps, number: int | None, *, directed: bool) -> tuple[Swath, ...]:
    """Return the parts of a pass, each with one width; short ones that have no length are left out."""
    found: list[Swath] = []
    for part in one.parts:
        middle = (one.left[part] + one.right[part]) / 2.0
        steps = lengths(np.diff(middle, axis=0))
        if not float(steps.sum()) > 0.0:
            continue
        places = plane.inverse(middle)
        heading = round(azimuth(places[0], places[-1]), 2) % 360.0 if directed else None
        width = round(float(np.average(one.width[part][1:], weights=steps)), 3)
        start, end = stamps[part][0], stamps[part][-1]
        found.append(Swath(places, width, number, len(found) + 1, heading, start, end))
    return tuple(found)

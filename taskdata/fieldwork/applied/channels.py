"""The rates that logs hold, and the pieces of ground that each was applied to.

A rate holds for the elements at or below the part that it was logged for, else for those below what is above it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import Held
from taskdata.fieldwork.machine.part_channels import spoken_of
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry.arrays import Floats
from taskdata.geometry.sweeps import Quads
from taskdata.quantities.dictionary import Entry, entries, entry

BY_AREA = frozenset({"mm³/m²", "mg/m²", "/m²", "ml/m²"})
"""Units of rates by area."""


class Channel(NamedTuple):
    """An actual rate and what delivers it."""

    ddi: int
    part: str | None


@dataclass(frozen=True, eq=False)
class RatePieces:
    """The pieces of ground that a work swept with a rate, m of them; physical values by square metre.

    Parameters
    ----------
    piece : ndarray
        (m,) which of ``LogWork.pieces`` each is.
    area : ndarray
        (m,) m² in the plane.
    rate, target : ndarray
        (m,) the rate, NaN where it is not known, and its setpoint, NaN where there is none.
    """

    piece: NDArray[np.intp]
    area: Floats
    rate: Floats
    target: Floats


def channels(works: Iterable[LogWork]) -> list[Channel]:
    """Return every actual rate or yield by area that was logged, in the order of the logs."""
    return list(
        dict.fromkeys(Channel(*found) for work in works for found in work.source.values.parts(sorted(_actuals())))
    )


def target_of(ddi: int) -> int | None:
    """Return the setpoint of an actual rate: the one before it in the dictionary, in the same unit."""
    item, other = entry(ddi), entry(ddi - 1)
    same = other.kind == "setpoint" and other.group == item.group and other.unit == item.unit
    return other.ddi if same else None


def columns_of_rate(work: LogWork, part: str | None) -> list[int]:
    """Return the elements that a rate is for."""
    meant = None if work.tree is None else spoken_of(work.source.values, work.tree, part)
    return [column for column, item in enumerate(work.bar.parts) if meant is None or item is None or item in meant]


def rate_pieces(work: LogWork, channel: Channel) -> RatePieces | None:
    """Return the ground that a rate was logged for, None where the log of the work does not hold the rate."""
    values = work.source.values
    held = values.held(*channel)
    if held is None:
        return None
    target_ddi = target_of(channel.ddi)
    wanted = None if target_ddi is None else values.held(target_ddi, channel.part)
    piece = np.flatnonzero(np.isin(work.pieces.strip, columns_of_rate(work, channel.part)))
    record = work.track.kept[work.pieces.interval[piece]]
    resolution = float(entry(channel.ddi).resolution or 1)
    return RatePieces(
        piece,
        work.piece_areas[piece],
        _at(held, record) * resolution,
        np.full(len(piece), np.nan) if wanted is None else _at(wanted, record) * resolution,
    )


def quads_of(works: Sequence[LogWork], pieces: Sequence[RatePieces]) -> Quads:
    """Return the outlines (m, 4, 2) of the pieces of several works, in the plane."""
    found = [work.pieces.quads[part.piece] for work, part in zip(works, pieces, strict=True)]
    return np.concatenate(found) if found else np.empty((0, 4, 2))


def _at(held: Held, record: NDArray[np.intp]) -> Floats:
    return np.where(held.known[record], held.value[record].astype(np.float64), np.nan)


@cache
def _actuals() -> dict[int, Entry]:
    """Return the actual rates and yields that are counted by area."""
    return {
        ddi: item
        for ddi, item in entries().items()
        if item.unit in BY_AREA and item.kind == "actual" and item.group in {"rate", "yield"} and item.resolution
    }

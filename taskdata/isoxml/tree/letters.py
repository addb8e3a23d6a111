"""Decimal columns as letters in rows of bytes, four figures at a time by tables.

A row has the same room for every number; what a number does not fill is zero, which no text holds, and is taken out by
whoever asked. Where all numbers are equally long there is no such byte.
"""

from __future__ import annotations

from dataclasses import field

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.isoxml.tree.decimals import DecimalColumn

GROUP = 4
_MOST_PLACES = 16
_POWERS = 10 ** np.arange(19, dtype=np.int64)
_UP_TO = np.arange(10**GROUP)[:, np.newaxis] // _POWERS[GROUP - 1 :: -1]
_FIGURES = (_UP_TO % 10 + ord("0")).astype(np.uint8)
_ALL = _FIGURES.view(np.uint32)[:, 0]
_LED = np.where((_UP_TO > 0) | (np.arange(GROUP) == GROUP - 1), _FIGURES, np.uint8(0)).view(np.uint32)[:, 0]
_LED_OR_NOTHING = np.concatenate([np.zeros(1, np.uint32), _LED[1:]])
_KEPT = np.frombuffer(b"".join(b"\xff" * kept + b"\0" * (GROUP - kept) for kept in range(GROUP + 1)), np.uint32)


@dataclass(slots=True)
class Letters:
    """Letters of one column in rows.

    Attributes
    ----------
    width : int
        Bytes that a number takes in its row.
    ragged : bool
        Some numbers are shorter, with zeros in their rows.
    groups : list of (int, uint32 array)
        Four letters each, and where they begin; they may reach ``GROUP - 1`` bytes over both ends of the number, and
        each has to be put down before those behind it, and before whatever stands beside the number.
    marks : list of (int, uint8 array or int)
        Single letters, and where they stand; put down after all groups.
    """

    width: int = 0
    ragged: bool = False
    groups: list[tuple[int, NDArray[np.uint32]]] = field(default_factory=list)
    marks: list[tuple[int, NDArray[np.uint8] | int]] = field(default_factory=list)


def letters_of(column: DecimalColumn, start: int, stop: int) -> Letters | None:
    """Return the letters of rows ``start`` to ``stop`` (at least one), None where one is too long or odd."""
    scaled, digits = column.scaled[start:stop], column.digits[start:stop]
    least, most = int(digits.min()), int(digits.max())
    if most > _MOST_PLACES:  # an odd spelling among them
        return None
    found = Letters()
    negative = scaled < 0
    if negative.any():
        found.marks.append((0, negative * np.uint8(ord("-"))))
        found.width, found.ragged = 1, not negative.all()
    number = np.abs(scaled)
    if not most:
        _put_whole(found, number)
        return found
    power = _POWERS[most if least == most else digits]
    whole = number // power
    _put_whole(found, whole)
    found.marks.append((found.width, ord(".") if least else (digits > 0) * np.uint8(ord("."))))
    found.width += 1
    _put_places(found, number - whole * power, digits, least, most)
    return found


def _put_whole(found: Letters, whole: NDArray[np.int64]) -> None:
    shortest, longest = len(str(whole.min())), len(str(whole.max()))
    groups: list[NDArray[np.uint32]] = []
    for _ in range(0, longest, GROUP):
        rest = whole // 10**GROUP
        led = (_LED_OR_NOTHING if groups else _LED)[whole - rest * 10**GROUP]
        groups.append(np.where(rest > 0, _ALL[whole - rest * 10**GROUP], led) if rest.any() else led)
        whole = rest
    if shortest != longest:
        found.ragged = True
        longest = len(groups) * GROUP
    end = found.width + longest
    found.groups += [(end - (at + 1) * GROUP, group) for at, group in reversed(list(enumerate(groups)))]
    found.width = end


def _put_places(found: Letters, number: NDArray[np.int64], digits: NDArray[np.uint8], least: int, most: int) -> None:
    """Put down what stands behind the dot, from ``least`` to ``most`` figures."""
    room = -(-most // GROUP) * GROUP
    number = number * _POWERS[room - (most if least == most else digits)]
    found.ragged |= least != most
    for begin in range(0, room, GROUP):
        power = 10 ** (room - begin - GROUP)
        group = number // power
        number = number - group * power
        letters = _ALL[group]
        if begin + GROUP > least and least != most:
            letters = letters & _KEPT[np.clip(digits.astype(np.int16) - begin, 0, GROUP)]
        found.groups.append((found.width + begin, letters))
    found.width += most

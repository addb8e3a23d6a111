"""Fields of many sentences at once: plain decimals, times of day, angles, dates and letters."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.file_formats.delimited.angles import Axis
from taskdata.formats.nmea.columns import day_number

Flags = NDArray[np.bool_]
Places = NDArray[np.intp]
Values = NDArray[np.float64]

_WIDEST = 14
"""Letters of a plain number: so many digits are exact."""
_POWERS = 10 ** np.arange(_WIDEST + 3)
_COMMA, _DOT, _MINUS, _ZERO = (ord(letter) for letter in ",.-0")
_NONE = np.nan
_SIGNS = {Axis.LATITUDE: (ord("N"), ord("S")), Axis.LONGITUDE: (ord("E"), ord("W"))}


class _Decimals(NamedTuple):
    """Numbers as written: without point and sign, digits behind the point; signs, and what is a number at all."""

    scaled: NDArray[np.int64]
    after: NDArray[np.int64]
    negative: Flags
    sound: Flags

    def values(self) -> Values:
        """Return them as Python reads them."""
        size = self.scaled / _POWERS[self.after]
        return np.where(self.negative, -size, size)


class Fields:
    """The fields of sentences of one kind.

    ``plain`` (n,) tells of which all that was asked for is blank or plainly written.
    """

    def __init__(self, letters: NDArray[np.uint8], starts: Places, stops: Places, count: int) -> None:
        commas = np.flatnonzero(letters == _COMMA)
        first = np.searchsorted(commas, starts)
        self.plain: Flags = np.searchsorted(commas, stops) - first > count
        self._letters = letters
        self._commas = commas[np.minimum(first[:, np.newaxis] + np.arange(count + 1), len(commas) - 1)]
        self._commas[~self.plain] = starts[~self.plain, np.newaxis]

    def number(self, at: int) -> Values:
        """Return field ``at``, counted from 1, as numbers, NaN where it is blank."""
        start, stop = self._ends(at)
        found, blank = self._decimals(start, stop), stop <= start
        self.plain &= found.sound | blank
        return np.where(blank, _NONE, found.values())

    def count(self, at: int) -> Values:
        """Return field ``at`` as small whole numbers."""
        start, stop = self._ends(at)
        found, blank = self._decimals(start, stop), stop <= start
        whole = found.sound & ~found.negative & (found.scaled < 256) & self._has_no_dot(start, stop)
        self.plain &= whole | blank
        return np.where(blank, _NONE, found.scaled)

    def clock(self, at: int) -> Values:
        """Return field ``at``, ``hhmmss.sss``, as seconds of the day."""
        start, stop = self._ends(at)
        blank, middle = stop <= start, np.minimum(start + 6, stop)
        whole, rest = self._decimals(start, middle), self._decimals(middle, stop)
        hours, minutes, seconds = whole.scaled // 10_000, whole.scaled // 100 % 100, whole.scaled % 100
        sound = (middle - start == 6) & whole.sound & ~whole.negative & self._has_no_dot(start, middle)
        sound &= (hours < 24) & (minutes < 60) & (seconds < 60)
        sound &= (stop == middle) | (rest.sound & (self._at(middle) == _DOT))
        self.plain &= sound | blank
        found = hours * 3600.0 + minutes * 60.0 + seconds + np.where(stop == middle, 0.0, rest.values())
        return np.where(blank, _NONE, found)

    def angle(self, at: int, axis: Axis) -> Values:
        """Return field ``at``, degrees and minutes in one, with the letter behind it, as degrees; NaN where blank."""
        start, stop = self._ends(at)
        found, blank = self._decimals(start, stop), stop <= start
        unit = _POWERS[found.after + 2]
        degrees = found.scaled // unit
        minutes = (found.scaled - degrees * unit) / _POWERS[found.after]
        size = degrees + minutes / 60.0
        letter = self.letter(at + 1)
        sound = found.sound & ~found.negative & (found.scaled // _POWERS[found.after] < 1e5)
        sound &= (self._at(start) != _DOT) & (self._at(stop - 1) != _DOT)
        sound &= (minutes < 60.0) & (size <= axis.value) & np.isin(letter, _SIGNS[axis])
        self.plain &= sound | blank
        return np.where(blank, _NONE, np.where(letter == _SIGNS[axis][1], -size, size))

    def day(self, at: int) -> Values:
        """Return field ``at``, ``ddmmyy``, as days since 1970."""
        start, stop = self._ends(at)
        found, blank = self._decimals(start, stop), stop <= start
        self.plain &= (found.sound & (stop - start == 6) & ~found.negative & self._has_no_dot(start, stop)) | blank
        result = np.full(len(start), _NONE)
        for number in np.unique(found.scaled[self.plain & ~blank]).tolist():
            here = found.scaled == number
            try:
                result[here] = day_number(datetime.strptime(f"{number:06d}", "%d%m%y").date())
            except ValueError:
                self.plain &= ~here
        return np.where(blank, _NONE, result)

    def letter(self, at: int) -> NDArray[np.uint8]:
        """Return field ``at`` where it is one letter, 0 elsewhere."""
        start, stop = self._ends(at)
        return np.where(stop - start == 1, self._at(start), np.uint8(0))

    def _ends(self, at: int) -> tuple[Places, Places]:
        return self._commas[:, at - 1] + 1, self._commas[:, at]

    def _at(self, places: Places) -> NDArray[np.uint8]:
        return np.take(self._letters, places, mode="clip")

    def _has_no_dot(self, start: Places, stop: Places) -> Flags:
        """Tell where whole numbers of a few letters have no point."""
        found = np.ones(len(start), dtype=np.bool_)
        for place in range(6):
            found &= (start + place >= stop) | (self._at(start + place) != _DOT)
        return found

    def _decimals(self, start: Places, stop: Places) -> _Decimals:
        """Return what stands from ``start`` to ``stop`` as decimals."""
        lengths = stop - start
        scaled, after = np.zeros(len(start), np.int64), np.zeros(len(start), np.int64)
        sound, dotted, figures = lengths <= _WIDEST, np.zeros(len(start), np.bool_), np.zeros(len(start), np.bool_)
        negative = (lengths > 0) & (self._at(start) == _MINUS)
        for place in range(min(int(lengths.max(initial=0)), _WIDEST)):
            letter, inside = self._at(start + place), place < lengths
            digit = letter - np.uint8(_ZERO)  # what stands before the figures becomes large
            is_digit = inside & (digit < 10)
            is_dot = inside & (letter == _DOT)
            scaled = np.where(is_digit, scaled * 10 + digit, scaled)
            after += is_digit & dotted
            sound &= is_digit | ~inside | (is_dot & ~dotted) | (negative if place == 0 else False)
            dotted |= is_dot
            figures |= is_digit
        return _Decimals(scaled, after, negative, sound & figures)

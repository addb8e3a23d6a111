"""Decimal texts as compact exact columns: a scaled integer and a digit count for each.

Two million coordinates must not cost two million text objects, yet must come back exactly. A text in canonical
spelling (optional minus, no superfluous leading zero, at most 18 digits) is held in nine bytes; any other spelling is
kept as text on the side.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.tree.notation import decimal_text
from taskdata.mapped import ArrayStore

ODD = 255
WIDTH = 24
"""Letters from which on a text is odd, whatever it says."""
_POWERS = np.array([float(10**count) for count in range(19)])  # exact; a power computed by the processor need not be
_EXACT = 1 << 53
_MOST_FIGURES = 18
_SHAPE = re.compile(rb"(-?)([0-9]+)(\.[0-9]+)?")
_SIGNS = b"-."
_NUMBER = re.compile(r"\s*[+-]?(\d+\.?\d*|\.\d+)\s*", re.ASCII)


class DecimalColumn:
    """A column of decimal texts.

    Attributes
    ----------
    scaled : int64 (n,)
        The number without its point; 0 for an odd spelling.
    digits : uint8 (n,)
        Digits after the point; 255 marks an odd spelling.
    odd : dict of int to str
        Texts in any other spelling, by position.
    """

    __slots__ = ("digits", "odd", "scaled")

    def __init__(self, scaled: NDArray[np.int64], digits: NDArray[np.uint8], odd: dict[int, str]) -> None:
        self.scaled = scaled
        self.digits = digits
        self.odd = odd

    @classmethod
    def from_texts(cls, texts: Sequence[str]) -> DecimalColumn:
        """Hold ``texts`` (any strings) without losing a letter."""
        scaled, digits = _parse(_matrix(texts))
        strange = np.flatnonzero(digits == ODD).tolist()
        return cls(scaled, digits, {position: texts[position] for position in strange})

    @classmethod
    def from_places(cls, octets: bytes, starts: NDArray[np.intp], stops: NDArray[np.intp]) -> DecimalColumn:
        """Hold the texts that stand from ``starts`` to ``stops``, intp (n,), in bytes of printable ASCII.

        Each is shorter than ``WIDTH`` letters, and something stands behind the last one.
        """
        everything = np.frombuffer(octets, np.uint8)
        lengths = stops - starts
        letters = np.empty((int(lengths.max(initial=0)), len(starts)), np.uint8)
        shortest = int(lengths.min(initial=WIDTH))
        for position, row in enumerate(letters):
            np.take(everything, starts + position, out=row, mode="clip")
            if position >= shortest:
                row[lengths <= position] = 0
        scaled, digits = _parse(letters)
        odd = np.flatnonzero(digits == ODD).tolist()
        return cls(scaled, digits, {at: octets[starts[at] : stops[at]].decode("ascii") for at in odd})

    @classmethod
    def joined(cls, columns: Sequence[DecimalColumn]) -> DecimalColumn:
        """Return columns one behind the other as one; what is the same in every row takes the room of one row."""
        odd: dict[int, str] = {}
        start = 0
        for column in columns:
            odd |= {start + at: text for at, text in column.odd.items()}
            start += len(column)
        scaled = _once([column.scaled for column in columns], np.int64)
        return cls(scaled, _once([column.digits for column in columns], np.uint8), odd)

    def kept_in(self, arrays: ArrayStore) -> DecimalColumn:
        """Return the same column with its numbers kept in ``arrays``."""
        return DecimalColumn(arrays.kept(self.scaled), arrays.kept(self.digits), self.odd)

    def __len__(self) -> int:
        return len(self.scaled)

    def constant(self) -> str | None:
        """Return the text of every row where it is held once for all of them, else None."""
        held_once = len(self) and not self.odd and self.scaled.strides == self.digits.strides == (0,)
        return spell(int(self.scaled[0]), int(self.digits[0])) if held_once else None

    def taken(self, order: NDArray[np.intp]) -> DecimalColumn:
        """Return the column whose row ``i`` is row ``order[i]`` of this one; each row is taken once."""
        odd = {}
        if self.odd:
            back = np.empty(len(order), np.intp)
            back[order] = np.arange(len(order))
            odd = {int(back[at]): text for at, text in self.odd.items()}
        return DecimalColumn(self.scaled[order], self.digits[order], odd)

    def chosen(self, rows: NDArray[np.intp]) -> DecimalColumn:
        """Return the column of some rows, in their order; what is the same in every row still takes the room of one."""
        if self.constant() is not None:
            scaled, digits = (np.broadcast_to(part[0], len(rows)) for part in (self.scaled, self.digits))
            return DecimalColumn(scaled, digits, {})
        odd = {at: self.odd[row] for at, row in enumerate(rows.tolist()) if row in self.odd} if self.odd else {}
        return DecimalColumn(self.scaled[rows], self.digits[rows], odd)

    def texts(self, start: int = 0, stop: int | None = None) -> list[str]:
        """Return the texts from ``start`` to ``stop``, exactly."""
        scaled, digits = self.scaled[start:stop], self.digits[start:stop]
        alike = _spell_alike(scaled, digits)
        if alike is not None:
            return alike
        pairs = zip(scaled.tolist(), digits.tolist(), strict=True)
        return [
            self.odd[start + at] if count == ODD else spell(value, count) for at, (value, count) in enumerate(pairs)
        ]

    def floats(self, start: int = 0, stop: int | None = None, most: float | None = None) -> NDArray[np.float64]:
        """Return the numbers as float64, correctly rounded like ``float(text)``; NaN where it is none or infinite.

        A decimal comma and an exponent are understood where they have one meaning, see ``notation``; ``most`` is the
        largest value that there can be.
        """
        digits, scaled = self.digits[start:stop], self.scaled[start:stop]
        numbers: NDArray[np.float64] = scaled / _POWERS[np.where(digits == ODD, 0, digits)]
        for position in np.flatnonzero(np.abs(scaled) > _EXACT).tolist():  # their quotient would be rounded twice
            numbers[position] = float(spell(int(scaled[position]), int(digits[position])))
        for position in np.flatnonzero(digits == ODD).tolist() if self.odd else ():
            text = self.odd[start + position]
            plain = text if _NUMBER.fullmatch(text) else decimal_text(text.strip(), most)
            numbers[position] = np.nan if plain is None else float(plain)
            if np.isinf(numbers[position]):
                numbers[position] = np.nan
        return numbers


def spell(scaled: int, digits: int) -> str:
    """Return the canonical text of ``scaled`` x 10^-``digits``, such as ``(-5, 1)`` -> ``-0.5``."""
    if digits == 0:
        return str(scaled)
    text = str(abs(scaled)).rjust(digits + 1, "0")
    return f"{'-' if scaled < 0 else ''}{text[:-digits]}.{text[-digits:]}"


def _spell_alike(scaled: NDArray[np.int64], digits: NDArray[np.uint8]) -> list[str] | None:
    """Return all texts at once where every number has the same sign and number of digits; else None."""
    if not len(digits) or digits[0] == ODD or (digits != digits[0]).any():
        return None
    places, negative = int(digits[0]), scaled < 0
    if places == 0:
        return list(map(str, scaled.tolist()))
    if negative.any() and not negative.all():
        return None
    parts = np.column_stack(np.divmod(np.abs(scaled), 10**places)).ravel().tolist()
    form = f"{'-' if negative[0] else ''}%d.%0{places}d "
    return (form * len(scaled) % tuple(parts)).split()


def _matrix(texts: Sequence[str]) -> NDArray[np.uint8]:
    """Lay the texts out as columns of bytes; one byte more than may be used, so that longer texts show."""
    joined = "".join(texts)
    if not joined.isascii() or "\0" in joined:
        texts = [text if text.isascii() and "\0" not in text else "?" for text in texts]
    packed = np.array(texts, dtype=f"S{WIDTH}")
    letters = packed.view(np.uint8).reshape(len(texts), WIDTH).T
    used = int(letters.any(axis=1).sum())
    return np.ascontiguousarray(letters[:used])


def _parse(letters: NDArray[np.uint8]) -> tuple[NDArray[np.int64], NDArray[np.uint8]]:
    """Read every column of letters as a decimal, ended by zeros where others are longer: the numbers and digits."""
    alike = _parse_alike(letters)
    if alike is not None:
        return alike
    count = letters.shape[1]
    value = np.zeros(count, np.int64)
    whole = np.zeros(count, np.uint8)
    after = np.zeros(count, np.uint8)
    dotted = np.zeros(count, bool)
    negative = letters[0] == ord("-") if len(letters) else np.zeros(count, bool)
    strange = np.zeros(count, bool)
    first_zero = np.zeros(count, bool)
    for position, row in enumerate(letters):
        figure = row - ord("0")
        is_figure = figure < 10
        is_dot = row == ord(".")
        known = is_figure | is_dot | (row == 0)
        if position == 0:
            known |= negative
        strange |= ~known | (is_dot & dotted)
        first_zero |= is_figure & (figure == 0) & (whole == 0) & ~dotted
        dotted |= is_dot
        value = np.where(is_figure, value * 10 + figure, value)
        whole += is_figure & ~dotted
        after += is_figure & dotted
    strange |= (whole == 0) | (dotted & (after == 0)) | (whole + after > _MOST_FIGURES)
    if len(letters) == WIDTH:
        strange |= letters[-1] != 0
    strange |= (first_zero & (whole > 1)) | (negative & (value == 0))
    value = np.where(negative, -value, value)
    value[strange] = 0
    after[strange] = ODD
    return value, after


def _parse_alike(letters: NDArray[np.uint8]) -> tuple[NDArray[np.int64], NDArray[np.uint8]] | None:
    """Read decimals at once that all have sign and dot in the same places, None where not all have or one is odd."""
    shape = _SHAPE.fullmatch(letters[:, :1].tobytes()) if letters.size else None
    if shape is None or len(letters) - (shape[3] is not None) - len(shape[1]) > _MOST_FIGURES:
        return None
    value = np.zeros(letters.shape[1], np.int64)
    for row in letters:
        if (row == row[0]).all() and row[0] in _SIGNS:
            continue
        figure = row - ord("0")
        if (figure > 9).any():
            return None
        value *= 10
        value += figure
    sign, whole, rest = shape.groups()
    led = len(whole) > 1 and (letters[len(sign)] == ord("0")).any()
    if led or (sign and not value.all()):
        return None
    if sign:
        np.negative(value, out=value)
    return value, np.full(len(value), len(rest[1:]) if rest else 0, np.uint8)


def _once(parts: Sequence[NDArray[Any]], kind: type[np.generic]) -> NDArray[Any]:
    """Return arrays one behind the other, as many views of one number where all numbers are the same."""
    first = next((part[0] for part in parts if len(part)), None)
    if first is not None and all((part == first).all() for part in parts):
        return np.broadcast_to(np.array(first, kind), sum(map(len, parts)))
    return np.concatenate([np.empty(0, kind), *parts])

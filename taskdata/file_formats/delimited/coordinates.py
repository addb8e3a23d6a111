"""Which columns of a delimited text hold coordinates, by their names and by what stands in them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache

from taskdata import resources
from taskdata.dataclass import dataclass
from taskdata.file_formats.delimited.angles import Axis
from taskdata.file_formats.delimited.numbers import notation_of

WKT = re.compile(r"^\s*(SRID=\d+;)?(MULTI)?(POINT|LINESTRING|POLYGON)\s*(Z|M|ZM)?\s*(\(|EMPTY)", re.IGNORECASE)
"""How the text of a shape begins (OGC 06-103r4, clause 7; ``SRID=`` before it is common practice)."""

LETTERED = re.compile(r"^\s*([NSEWO]\s*\d|\d.*[NSEWO]\s*$)", re.IGNORECASE)
"""An angle with the letter of a hemisphere before or behind it."""


@dataclass(frozen=True, slots=True)
class Coordinates:
    """The numbers of the columns that make a shape, from 0.

    Parameters
    ----------
    x, y : int or None
        Longitude or east, latitude or north.
    shape : int or None
        Shapes as well-known text, in place of ``x`` and ``y``.
    angles : bool
        ``x`` and ``y`` are angles, by name or by how they are written; False = not known.
    x_letter, y_letter : int or None
        Columns with nothing but the letters of hemispheres.
    """

    x: int | None = None
    y: int | None = None
    shape: int | None = None
    angles: bool = False
    x_letter: int | None = None
    y_letter: int | None = None

    @property
    def columns(self) -> frozenset[int]:
        """The columns that are used up by them."""
        found = (self.x, self.y, self.shape, self.x_letter, self.y_letter)
        return frozenset(column for column in found if column is not None)


def coordinates(names: Sequence[str], columns: Sequence[Sequence[str]]) -> Coordinates | None:
    """Return which columns hold coordinates, None where none do.

    Parameters
    ----------
    names : sequence of str
        Names of the columns; empty texts where the file has none.
    columns : sequence of sequence of str
        Texts of each column, as many rows as are at hand.
    """
    for number, texts in enumerate(columns):
        filled = [text for text in texts if text.strip()]
        if filled and all(WKT.match(text) for text in filled):
            return Coordinates(shape=number)
        if not any(columns) and "shape" in _meanings(names[number]):
            return Coordinates(shape=number)
    letters = {axis: _letter_columns(columns, axis) for axis in Axis}
    written = {axis: _lettered(columns, axis) for axis in Axis}
    if all(written.values()):
        return Coordinates(written[Axis.LONGITUDE][0], written[Axis.LATITUDE][0], angles=True)
    meanings = [_meanings(name) for name in names]
    for x, y, angles in (("longitude", "latitude", True), ("easting", "northing", False)):
        first, second = _best(meanings, columns, x), _best(meanings, columns, y)
        if first is not None and second is not None:
            beside = (_beside(first, letters[Axis.LONGITUDE]), _beside(second, letters[Axis.LATITUDE]))
            return Coordinates(
                first,
                second,
                angles=angles or all(item is not None for item in beside),
                x_letter=beside[0],
                y_letter=beside[1],
            )
    return None


@cache
def _words() -> Mapping[str, str]:
    return {row["word"]: row["meaning"] for row in resources.table("coordinate_words")}


def _meanings(name: str) -> list[str]:
    """Return what the words of a column's name say, the whole name first."""
    spaced = re.sub(r"([a-zäöüæøå])([A-ZÄÖÜ])", r"\1 \2", name)
    words = [name.strip().lower(), *(word.lower() for word in re.split(r"[\W\d_]+", spaced) if word)]
    return [_words()[word] for word in words if word in _words()]


def _best(meanings: Sequence[Sequence[str]], columns: Sequence[Sequence[str]], wanted: str) -> int | None:
    """Return the first column with numbers or angles whose name means what is wanted, a whole name before a part.

    Without a row to look at, the names alone count.
    """
    named = [number for number, found in enumerate(meanings) if wanted in found and _has_numbers(columns[number])]
    return min(named, key=lambda number: (meanings[number][0] != wanted, len(meanings[number]), number), default=None)


def _has_numbers(texts: Sequence[str]) -> bool:
    if not texts:
        return True
    filled = [text for text in texts if text.strip()]
    digits = [text for text in filled if re.search(r"\d", text)]
    return bool(filled) and 2 * len(digits) > len(filled)


def _lettered(columns: Sequence[Sequence[str]], axis: Axis) -> list[int]:
    """Return the columns whose every text is an angle with a letter of that axis in it."""
    return [number for number, texts in enumerate(columns) if _all(texts, lambda text: _is_lettered(text, axis))]


def _is_lettered(text: str, axis: Axis) -> bool:
    return bool(LETTERED.match(text)) and bool(axis.letters & set(text.upper())) and notation_of([text]) is None


def _letter_columns(columns: Sequence[Sequence[str]], axis: Axis) -> list[int]:
    """Return the columns that hold nothing but letters of that axis."""
    return [
        number for number, texts in enumerate(columns) if _all(texts, lambda text: text.strip().upper() in axis.letters)
    ]


def _all(texts: Sequence[str], test: Callable[[str], bool]) -> bool:
    filled = [text for text in texts if text.strip()]
    return bool(filled) and all(map(test, filled))


def _beside(column: int, letters: Sequence[int]) -> int | None:
    """Return the column of letters that belongs to a column: the one behind it, the one before it, or the only one."""
    near = [number for number in (column + 1, column - 1) if number in letters]
    return near[0] if near else letters[0] if len(letters) == 1 else None

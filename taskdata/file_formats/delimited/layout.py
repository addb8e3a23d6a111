"""How a delimited text is laid out: its delimiter, where its rows begin, and the names of its columns."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Sequence

from taskdata.dataclass import dataclass
from taskdata.file_formats.delimited.coordinates import LETTERED, WKT, Coordinates, coordinates
from taskdata.file_formats.delimited.numbers import notation_of, shows_decimal_comma
from taskdata.file_formats.text_encoding import Read, read_text

DELIMITERS = (";", "\t", "|", ",")
"""The delimiters, the surest first: a comma may also be the sign before decimals."""

MOST_COLUMNS = 2_000
_SAMPLE = 200
_AGREEING = 0.5
"""Share of the lines that must have as many cells as most have."""

_COMMENT = ("#", "//", "%")
_UNIT_IN_NAME = re.compile(r"^(?P<name>.*?)\s*[(\[](?P<unit>[^()\[\]]{1,20})[)\]]\s*$")
_NO_UNIT = ("", "-")
_UNIT = re.compile(
    r"^\s*[(\[]?\s*(-|°|deg|degrees?|%|[a-zµ²³°]{1,7}([/*·.^\-0-9 ][a-zµ²³°0-9]{1,6}){0,3})\s*[)\]]?\s*$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Layout:
    """The layout of a delimited text.

    Parameters
    ----------
    encoding : str
        As Python names it.
    guessed : bool
        Nothing in the bytes says that encoding.
    delimiter : str
        One sign.
    skip : int
        Lines before the first row of values: comments, a title, the names and units.
    names : tuple of str
        One for each column, no two alike, with the unit that it or a row of units states in brackets.
    named : bool
        The names stand in the file.
    comma : bool or None
        Whether decimals follow a comma, where some number of the file shows it.
    coordinates : Coordinates or None
        Which columns hold coordinates.
    """

    encoding: str
    guessed: bool
    delimiter: str
    skip: int
    names: tuple[str, ...]
    named: bool
    comma: bool | None
    coordinates: Coordinates | None


def layout_of(head: bytes, encoding: str | None = None, *, whole: bool = True) -> Layout | None:
    """Return the layout of a text by its first bytes; None where they are no table of several columns.

    Parameters
    ----------
    head : bytes
        The beginning of the file.
    encoding : str, optional
        What it is in; told by the bytes when not given.
    whole : bool
        That is all of it; False = its last row may be cut off.
    """
    try:
        even = head[: len(head) - len(head) % 4] if len(head) > 4 else head
        read = read_text(even) if encoding is None else Read(even.decode(encoding, errors="replace"), encoding)
    except ValueError:
        return None
    if "\0" in read.text:
        return None
    first, text = _without_comments(read.text)
    parted = {sign: _rows(text, sign, whole=whole) for sign in DELIMITERS}
    share, width, sign = max((_fit(rows, sign) for sign, rows in parted.items()), key=lambda fit: fit[0])
    if share < _AGREEING or not 1 < width <= MOST_COLUMNS:
        return None
    rows = [(first + at, cells) for at, cells in parted[sign]]
    start = next(at for at, cells in rows if len(cells) == width)
    body = [(at, _padded(cells, width)) for at, cells in rows if at >= start]
    return _described(read.encoding or "utf-8", read.guessed, sign, body)


def _described(encoding: str, guessed: bool, sign: str, body: Sequence[tuple[int, list[str]]]) -> Layout:
    named = _is_header(body[0][1], [cells for _, cells in body[1:]])
    titles = body[0][1] if named else [""] * len(body[0][1])
    rest = body[1:] if named else body
    units: list[str | None] = [None] * len(titles)
    if named and len(rest) > 1 and _is_unit_row(rest[0][1], [cells for _, cells in rest[1:]]):
        units = [None if (unit := _bare(cell)) in _NO_UNIT else unit for cell in rest[0][1]]
        rest = rest[1:]
    names = list(titles)
    for number, title in enumerate(titles):
        found = _UNIT_IN_NAME.match(title)
        if found and found["name"]:
            titles[number] = found["name"]
        elif title.strip() and units[number] is not None:
            names[number] = f"{title} [{units[number]}]"
    skip = rest[0][0] if rest else body[-1][0] + 1
    columns = [list(column) for column in zip(*(cells for _, cells in rest), strict=True)] or [[] for _ in titles]
    shown = {mark for column in columns if (mark := shows_decimal_comma(column)) is not None}
    return Layout(
        encoding,
        guessed,
        sign,
        skip,
        _each_once(names),
        named,
        shown.pop() if len(shown) == 1 else None,
        coordinates(titles, columns),
    )


def _without_comments(text: str) -> tuple[int, str]:
    """Return how many lines stand before the table, blank ones and comments, and the text from there on."""
    lines = text.splitlines(keepends=True)
    first = 0
    while first < len(lines) and (not lines[first].strip() or lines[first].startswith(_COMMENT)):
        first += 1
    return first, "".join(lines[first:])


def _rows(text: str, sign: str, *, whole: bool) -> list[tuple[int, list[str]]]:
    """Return the first rows that are not blank, each with the number of its first line, from 0."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign)
    rows, at = [], 0
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((at, cells))
            at = reader.line_num
            if len(rows) > _SAMPLE:
                return rows[:-1]
    except csv.Error:  # a cell without end
        return rows
    return rows if whole or len(rows) < 2 else rows[:-1]


def _fit(rows: Sequence[tuple[int, list[str]]], sign: str) -> tuple[float, int, str]:
    """Return the share of rows that have as many cells as most have with a delimiter, and how many that is."""
    counts = Counter(len(cells) for _, cells in rows)
    if not counts:
        return 0.0, 0, sign
    width, agreeing = max(counts.items(), key=lambda item: (item[1], item[0]))
    return (agreeing / sum(counts.values()) if width > 1 else 0.0), width, sign


def _padded(cells: list[str], width: int) -> list[str]:
    return [*cells, *[""] * (width - len(cells))][:width]


def _is_header(cells: Sequence[str], below: Sequence[Sequence[str]]) -> bool:
    """Tell whether the first row names the columns: texts without a number, above a column that has numbers."""
    if any(_is_value(cell) for cell in cells) or not any(cell.strip() for cell in cells):
        return False
    return (
        not below
        or any(_is_value(row[at]) for row in below[:20] for at in range(len(cells)))
        or not any(set(cells) == set(row) for row in below)
    )


def _is_unit_row(cells: Sequence[str], below: Sequence[Sequence[str]]) -> bool:
    """Tell whether a row holds units: nothing but units, above columns of numbers."""
    filled = [at for at, cell in enumerate(cells) if cell.strip()]
    above = [at for at in filled if all(_is_number(row[at]) or not row[at].strip() for row in below)]
    return bool(above) and all(_UNIT.match(cells[at]) for at in filled) and 2 * len(above) >= len(filled)


def _is_number(text: str) -> bool:
    return notation_of([text]) is not None


def _is_value(text: str) -> bool:
    """Tell whether a cell is a number, an angle or a shape, and so not the name of a column."""
    return _is_number(text) or LETTERED.match(text) is not None or WKT.match(text) is not None


def _bare(text: str) -> str:
    return text.strip().strip("()[]").strip()


def _each_once(titles: Sequence[str]) -> tuple[str, ...]:
    """Return names of which no two are alike; a blank one is called by its number."""
    taken: set[str] = set()
    names = []
    for number, title in enumerate(titles, 1):
        base = " ".join(title.split()) or f"column_{number}"
        name, again = base, 1
        while name in taken:
            again += 1
            name = f"{base}_{again}"
        taken.add(name)
        names.append(name)
    return tuple(names)

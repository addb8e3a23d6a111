"""The sentences of a whole piece of a log at once: those that are written plainly, without one call for each.

Plain is a line that is one sentence with a matching checksum, whose fields are blank or plain decimals. Sentences of
other kinds are passed by; whatever else a line may be is read by itself, so that what is read is the same either way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO, NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.file_formats.delimited.angles import Axis
from taskdata.formats.nmea.columns import AT, COLUMNS, Rows, rank, row_of
from taskdata.formats.nmea.fields import Fields, Flags, Places
from taskdata.formats.nmea.sentences import KINDS, KNOT_M_S, LONGEST, Counts, has_checksums, sentences_of

_PIECE = 1 << 20
"""Bytes that are read at a time."""
_DOLLAR, _COMMA, _STAR, _RETURN, _LINE = (ord(letter) for letter in "$,*\r\n")
_HEAD, _TAIL = len("$GNGGA,"), len("*47")
_HEX = np.full(256, 255, dtype=np.uint8)
_HEX[list(b"0123456789ABCDEF")] = _HEX[list(b"0123456789abcdef")] = np.arange(16)


class _Lines(NamedTuple):
    """The lines of a piece, (n,): where each starts, where its text ends, and how many dollar signs it has."""

    text: bytes
    letters: NDArray[np.uint8]
    starts: Places
    stops: Places
    dollars: Places


def rows_of(path: Path, counts: Counts) -> Iterator[Rows]:
    """Yield the sentences of a file in their order, some thousands at a time; broken ones are counted."""
    with path.open("rb") as file:
        checked = has_checksums(file)
        for piece in _pieces(file):
            yield _rows(_lines(piece), counts, checked=checked)


def _pieces(file: IO[bytes]) -> Iterator[bytes]:
    """Yield whole lines of a file; of one that is longer than a piece, as much as is looked at."""
    left = b""
    while data := file.read(_PIECE):
        end = data.rfind(b"\n") + 1
        if end:
            yield left + data[:end]
            left = data[end:]
        else:
            left = (left + data)[:LONGEST]
    if left:
        yield left


def _lines(text: bytes) -> _Lines:
    letters = np.frombuffer(text, np.uint8)
    ends = np.flatnonzero(letters == _LINE)
    if not text.endswith(b"\n"):
        ends = np.append(ends, len(text))
    starts = np.append(0, ends[:-1] + 1)
    stops = ends - ((ends > starts) & (letters[ends - 1] == _RETURN))
    dollars = np.flatnonzero(letters == _DOLLAR)
    return _Lines(text, letters, starts, stops, np.searchsorted(dollars, ends) - np.searchsorted(dollars, starts))


def _rows(lines: _Lines, counts: Counts, *, checked: bool) -> Rows:
    rows = np.full((len(lines.starts), len(COLUMNS)), np.nan)
    said, passed = np.zeros(len(rows), dtype=np.bool_), lines.dollars == 0
    headed = (lines.dollars == 1) & (lines.stops - lines.starts >= _HEAD + _TAIL)
    headed &= lines.stops - lines.starts < LONGEST - 2
    at = np.flatnonzero(headed)
    head = lines.letters[lines.starts[at, np.newaxis] + np.arange(_HEAD)]
    at, head = (part[(head[:, 0] == _DOLLAR) & (head[:, -1] == _COMMA)] for part in (at, head))
    kinds = [(head[:, 3:6] == list(kind.encode())).all(axis=1) for kind in KINDS]
    passed[at[~np.logical_or.reduce(kinds)]] = True
    talker = (head[:, 1:3] >= ord("A")) & (head[:, 1:3] <= ord("Z"))
    whole = talker.all(axis=1)
    whole[whole] = _are_whole(lines, at[whole])
    for kind, is_kind in zip(KINDS, kinds, strict=True):
        here = at[whole & is_kind]
        if kind in _READERS and len(here):
            count, read = _READERS[kind]
            fields = Fields(lines.letters, lines.starts[here], lines.stops[here] - _TAIL, count)
            found = read(fields, head[whole & is_kind, 1:3])
            rows[here[fields.plain]], said[here[fields.plain]] = found[fields.plain], True
    return _with_others(lines, rows, said, np.flatnonzero(~(said | passed)), counts, checked=checked)


def _are_whole(lines: _Lines, at: Places) -> Flags:
    """Tell which of the lines that begin as a sentence are one with a checksum that matches, in plain letters."""
    starts, stars = lines.starts[at] + 1, lines.stops[at] - _TAIL
    if not len(at):
        return np.zeros(0, dtype=np.bool_)
    ends = np.column_stack([starts, stars]).ravel()
    summed, largest = (each.reduceat(lines.letters, ends)[::2] for each in (np.bitwise_xor, np.maximum))
    high, low = (_HEX[lines.letters[stars + place]] for place in (1, 2))
    sound = (lines.letters[stars] == _STAR) & (largest < 0x80) & (high < 16) & (low < 16)
    stars_before = np.add.reduceat((lines.letters == _STAR).astype(np.intp), ends)[::2]
    returns = np.add.reduceat((lines.letters == _RETURN).astype(np.intp), ends)[::2]
    return np.asarray(sound & (stars_before == 0) & (returns == 0) & (summed == (high << 4 | low)))


def _with_others(lines: _Lines, rows: Rows, said: Flags, others: Places, counts: Counts, *, checked: bool) -> Rows:
    """Return rows with those of lines that are read one by one in their places."""
    before, places, more = counts.lines, [], []
    ends = np.append(lines.starts[1:], len(lines.text))
    for at in others.tolist():
        counts.lines = before + at + 1
        line = lines.text[lines.starts[at] : min(ends[at], lines.starts[at] + LONGEST)]
        for sentence in sentences_of(line, counts, checked=checked):
            places.append(at)
            more.append(row_of(sentence))
    counts.lines = before + len(rows)
    if not more:
        return rows[said]
    order = np.argsort(np.concatenate([np.flatnonzero(said), places]), kind="stable")
    return np.concatenate([rows[said], more])[order]


def _gga(fields: Fields, talkers: NDArray[np.uint8]) -> Rows:
    rows = _blank(fields)
    rows[:, AT["clock"]] = fields.clock(1)
    fix = np.nan_to_num(fields.count(6), nan=0.0)
    _place(rows, fields, 2, fix > 0.0, _ranks(talkers, "GGA"))
    rows[:, AT["fix"]], rows[:, AT["satellites"]] = fix, fields.count(7)
    rows[:, AT["hdop"]] = fields.number(8)
    rows[:, AT["up_m"]] = fields.number(9) + fields.number(11)
    return rows


def _rmc(fields: Fields, talkers: NDArray[np.uint8]) -> Rows:
    rows, status = _blank(fields), fields.letter(2)
    fields.plain &= np.isin(status, [ord("A"), ord("V")])
    active = status == ord("A")
    rows[:, AT["clock"]], rows[:, AT["day"]] = fields.clock(1), fields.day(9)
    _place(rows, fields, 3, active, _ranks(talkers, "RMC"))
    rows[active, AT["speed_m_s"]] = (fields.number(7) * KNOT_M_S)[active]
    rows[active, AT["course_deg"]] = fields.number(8)[active]
    return rows


def _vtg(fields: Fields, talkers: NDArray[np.uint8]) -> Rows:
    rows = _blank(fields)
    rows[:, AT["speed_m_s"]], rows[:, AT["course_deg"]] = fields.number(5) * KNOT_M_S, fields.number(1)
    return rows


def _gst(fields: Fields, talkers: NDArray[np.uint8]) -> Rows:
    rows = _blank(fields)
    rows[:, AT["clock"]] = fields.clock(1)
    spread = np.column_stack([fields.number(6), fields.number(7)])
    spread[np.isnan(spread).any(axis=1)] = np.nan
    rows[:, [AT["lat_spread_m"], AT["lon_spread_m"]]] = spread
    return rows


_READERS: dict[str, tuple[int, Callable[[Fields, NDArray[np.uint8]], Rows]]] = {
    "GGA": (11, _gga),
    "RMC": (9, _rmc),
    "VTG": (5, _vtg),
    "GST": (7, _gst),
}
"""How many fields are looked at, and by what; the others are read one by one."""


def _blank(fields: Fields) -> Rows:
    rows = np.full((len(fields.plain), len(COLUMNS)), np.nan)
    rows[:, AT["rank"]] = 0.0
    return rows


def _ranks(talkers: NDArray[np.uint8], kind: str) -> NDArray[np.float64]:
    """Return the rank of a position of each talker, (n, 2) letters."""
    found = np.full(len(talkers), float(rank("", kind)))
    for talker in ("GN", "GP"):
        found[(talkers == list(talker.encode())).all(axis=1)] = rank(talker, kind)
    return found


def _place(rows: Rows, fields: Fields, at: int, known: Flags, ranks: NDArray[np.float64]) -> None:
    """Put positions in, where both angles are there."""
    lat, lon = fields.angle(at, Axis.LATITUDE), fields.angle(at + 2, Axis.LONGITUDE)
    placed = known & ~np.isnan(lat) & ~np.isnan(lon)
    for name, values in (("lat", lat), ("lon", lon), ("rank", ranks)):
        rows[placed, AT[name]] = values[placed]

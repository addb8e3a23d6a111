"""A look through a log of any length: how many records, when and where, and what is wrong, with little in memory.

The file is read in pieces, each decoded and summed up; what comes of it is the same as of the whole log.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import field

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.isoxml.binary.flat_bytes import Octets
from taskdata.isoxml.timelog.decode import decoded
from taskdata.isoxml.timelog.extents import extent_of
from taskdata.isoxml.timelog.faults import Unlisted, no_count_fault, trailing_fault, unlisted, unlisted_fault
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.timelog.padding import FILLS, stores_date
from taskdata.isoxml.timelog.walk import PAIR
from taskdata.model.log_extent import LogExtent

PIECE = 1 << 24
"""Bytes that are read at once."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of decoding a log.

    Parameters
    ----------
    records : int
        How many whole records it holds.
    findings : tuple of Finding
        What is wrong with its binary file.
    layout : Layout or None
        What each record holds, as the file turned out to be.
    extent : LogExtent or None
        When and where it was recorded; None where nobody looked.
    """

    records: int
    findings: tuple[Finding, ...] = ()
    layout: Layout | None = None
    extent: LogExtent | None = None


def in_parts(pieces: Iterable[bytes], layout: Layout, records: int) -> Iterator[TimeLog]:
    """Yield the first records of a log, some at a time.

    Parameters
    ----------
    pieces : iterable of bytes
        The file.
    layout : Layout
        What each record holds, as the file turned out to be.
    records : int
        How many there are, as was found before.
    """
    for log, _, _ in _parts(pieces, layout):
        part = log.between(0, min(len(log), records))
        if len(part):
            yield part
        records -= len(part)


def _parts(pieces: Iterable[bytes], layout: Layout) -> Iterator[tuple[TimeLog, Octets, int]]:
    """Yield the whole records at the beginning of some bytes, these bytes, and where in the file they begin.

    What follows the records is looked at again with the next piece.
    """
    at, rest = 0, b""
    for piece in pieces:
        octets = np.frombuffer(rest + piece if rest else piece, np.uint8)
        log, end = decoded(octets, layout)
        yield log, octets, at
        rest = octets[end:].tobytes()
        at += end


def scan(pieces: Callable[[], Iterable[bytes]], layout: Layout, *, file: str | None = None) -> Outcome:
    """Return what came of a log; as ``decode`` finds it.

    Parameters
    ----------
    pieces : callable
        Gives the bytes of the file, in pieces; called again where the file turns out to have no count bytes.
    layout : Layout
        From the header.
    file : str, optional
        Name of the file, for findings.
    """
    found = _Scan(layout)
    found.read(pieces())
    findings = []
    if layout.counted and not layout.values and not found.is_whole_without_values:
        bare = layout.uncounted()
        length = bare.dtype.itemsize
        if length > 0 and found.size % length == 0:
            findings.append(no_count_fault(file, found.size // length, length))
            found = _Scan(bare)
            found.read(pieces())
    return found.outcome(findings, file)


@dataclass
class _Sum:
    """What records come to that follow one another; ``end`` is the offset after the last."""

    records: int = 0
    values: int = 0
    end: int = 0
    wrong: Unlisted | None = None
    extent: LogExtent = field(default_factory=LogExtent)

    def add(self, other: _Sum) -> None:
        """Take in what follows."""
        self.records += other.records
        self.values += other.values
        self.end = max(self.end, other.end)
        self.wrong = self.wrong.joined(other.wrong) if self.wrong and other.wrong else self.wrong or other.wrong
        self.extent = self.extent.joined(other.extent)


class _Scan:
    """One look through a log as records of one layout."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.size = 0
        self.fill: int | None = None
        self.filled_from = 0
        self.sure, self.in_fill = _Sum(), _Sum()

    @property
    def is_whole_without_values(self) -> bool:
        """Whether the file consists of whole records without values."""
        end = max(self.sure.end, self.in_fill.end)
        return self.sure.values + self.in_fill.values == 0 and end == self.size

    def read(self, pieces: Iterable[bytes]) -> None:
        """Look through the whole file."""
        for log, octets, at in _parts(pieces, self.layout):
            if octets.size:
                self._note_fill(octets, at)
            for target, part, offset in self._split(log, at):
                if len(part):
                    target.add(self._sum(part, offset))
            self.size = at + octets.size

    def _note_fill(self, octets: Octets, at: int) -> None:
        """Note from where on all bytes so far are one; what was taken for such a fill before is none."""
        begins = octets.size - _ending(octets)
        if not begins and self.fill == octets[-1]:
            return
        self.fill, self.filled_from = int(octets[-1]), at + begins
        self.sure.add(self.in_fill)
        self.in_fill = _Sum()

    def _split(self, log: TimeLog, at: int) -> Iterator[tuple[_Sum, TimeLog, int]]:
        """Yield the records that begin before the fill, and the others, with the offset of the first."""
        if self.filled_from <= at:
            yield self.in_fill, log, at
            return
        lengths = log.layout.dtype.itemsize + PAIR * log.counts.astype(np.int64)
        ends = at + np.cumsum(lengths)
        first = int(np.searchsorted(ends - lengths, self.filled_from))
        yield self.sure, log.between(0, first), at
        yield self.in_fill, log.between(first, len(log)), int(ends[first - 1]) if first else at

    def _sum(self, log: TimeLog, at: int) -> _Sum:
        size = len(log) * log.layout.dtype.itemsize + PAIR * log.index.size
        before = self.sure.records + self.in_fill.records
        return _Sum(len(log), log.index.size, at + size, unlisted(log, before, at), extent_of(log))

    def outcome(self, findings: list[Finding], file: str | None) -> Outcome:
        """Return what was found."""
        length = self.layout.dtype.itemsize
        filled = self.fill in FILLS and self.size - self.filled_from >= length
        if not (filled and stores_date(self.layout)):
            self.sure.add(self.in_fill)
        found = self.sure
        alike = self.fill in FILLS and found.end >= self.filled_from
        findings += trailing_fault(self.size - found.end, found.records, found.end, file, alike=alike)
        findings += unlisted_fault(found.wrong, len(self.layout.values), file)
        return Outcome(found.records, tuple(findings), self.layout, found.extent)


def _ending(octets: Octets) -> int:
    """Return how many bytes at the end are like the last one."""
    size = 1 << 10
    while True:
        other = np.flatnonzero(octets[-size:] != octets[-1])
        if other.size:
            return min(size, octets.size) - 1 - int(other[-1])
        if size >= octets.size:
            return octets.size
        size <<= 4

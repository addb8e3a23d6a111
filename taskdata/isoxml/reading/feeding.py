"""The bytes of a file to the parser, and runs of points beside it.

The parser reads the first point of a run. Where it ends with that point and the builder has it, the parser is between
elements, and what follows can only be more points: they go to the builder at once, the parser goes on behind them. So
the parser judges every other byte, nothing stands for the run that a file could imitate, and where a run is no run
(in a comment, in CDATA, in another encoding) the rest of the file goes to the parser alone.
"""

from __future__ import annotations

from typing import BinaryIO
from xml.parsers import expat

from taskdata.isoxml.reading.builder import MAX_PIECE, TreeBuilder
from taskdata.isoxml.reading.point_runs import FoundRun, RunFinder
from taskdata.progress import Advance

_CHUNK = 1 << 20
_APART = b"> \t\r\n"
_MAX_TAG = 1 << 16
"""Bytes that the beginning of a tag at the end of a chunk may have to wait for the next one."""


class Feeder:
    """Feeds one file to the parser of a builder.

    Parameters
    ----------
    builder : TreeBuilder
        Gets the tree.
    in_bulk : bool
        Put runs of points in beside the parser; what is read is the same without.
    """

    def __init__(self, builder: TreeBuilder, *, in_bulk: bool) -> None:
        self._builder = builder
        self._parser = builder.parser
        self._finder = RunFinder() if in_bulk else None
        self._fed = 0
        self._skipped = 0
        self._shifted_line = 0
        self._shift = 0

    def feed(self, stream: BinaryIO, advance: Advance) -> None:
        """Feed a stream to its end.

        Raises
        ------
        expat.ExpatError
            The bytes are no well-formed XML; ``place`` says where.
        SourceError
            A piece of it is longer than ``MAX_PIECE``.
        """
        read, rest = 0, b""
        while chunk := stream.read(_CHUNK):
            read += len(chunk)
            rest = self._feed(rest + chunk)
            self._builder.relieve()
            if read - self._skipped - self._parser.CurrentByteIndex > MAX_PIECE:
                raise self._builder.too_long()
            advance(len(chunk))
        self._parser.Parse(rest, True)

    def place(self, error: expat.ExpatError) -> tuple[int, int]:
        """Return the line and the column of a fault in the file, both counted from 1."""
        shift = self._shift if error.lineno == self._shifted_line else 0
        return error.lineno + self._builder.skipped_lines, error.offset + shift + 1

    def _feed(self, octets: bytes) -> bytes:
        """Feed bytes, and return those at their end that have to wait for more."""
        at = seen = 0
        while self._finder is not None and (found := self._finder.find(octets, seen)) is not None:
            seen = found.stop
            if not _is_apart(octets, found.start):
                continue
            if self._begins(octets, at, found):
                self._put_in(octets, found)
                at = found.stop
            else:
                self._finder = None
                at = found.first
        end = len(octets)
        if self._finder is not None:
            last = octets.rfind(b"<", at)
            if last >= 0 and end - last <= _MAX_TAG and octets.find(b">", last) < 0 and _is_apart(octets, last):
                end = last
        self._give(octets[at:end])
        return octets[end:]

    def _begins(self, octets: bytes, at: int, found: FoundRun) -> bool:
        """Feed everything up to the end of the first point of a run, and tell whether the builder has that point."""
        self._give(octets[at : found.start])
        before, count = self._builder.points()
        self._give(octets[found.start : found.first])
        run, now = self._builder.points()
        grown = run is not None and now == (count + 1 if run is before else 1)
        return grown and self._builder.takes_runs() and self._parser.CurrentByteIndex == self._fed

    def _put_in(self, octets: bytes, found: FoundRun) -> None:
        """Put in a run whose first point the parser has read."""
        self._builder.put_in(octets[found.start : found.stop], found)
        line, column = self._parser.CurrentLineNumber, self._parser.CurrentColumnNumber
        rest = octets[found.first : found.stop]
        broken = max(rest.rfind(b"\n"), rest.rfind(b"\r")) + 1
        if broken:
            self._shift = len(rest) - broken - column
        else:
            self._shift = len(rest) + (self._shift if line == self._shifted_line else 0)
        self._shifted_line = line
        self._skipped += len(rest)

    def _give(self, octets: bytes) -> None:
        self._parser.Parse(octets, False)
        self._fed += len(octets)


def _is_apart(octets: bytes, at: int) -> bool:
    """Tell whether a tag stands behind another one or a blank; elsewhere faults depend on how bytes are fed."""
    return at == 0 or octets[at - 1] in _APART

"""Where runs of equally written points stand in the bytes of a file.

Points that follow each other are nearly all of a long file, and a program writes each as it wrote the one before: the
same attributes in the same order, the same blanks. Such a run is found by one regular expression, made of its first
point. What it may hold is narrow, so that a match is well-formed wherever its first point is: values of printable
ASCII without quotes, ``<``, ``>`` and ``&``, and blanks of XML between.
"""

from __future__ import annotations

import re
from functools import cache

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.decimals import WIDTH
from taskdata.isoxml.tree.element import POINT

LEAST = 5
"""Points from which on a run is worth it."""
_OPEN = b"<" + POINT.encode()
_BLANK = rb"[ \t\r\n]"
_VALUE = rb"[ !#-%%(-;=?-~]{0,%d}+" % (WIDTH - 1)
_BREAK = re.compile(rb"\r\n?|\n")
_BLANKS = re.compile(_BLANK + rb"*+")


@dataclass(frozen=True, slots=True)
class _Form:
    """How the points of a run are written: the pattern of a run, and how many lines are from one to the next."""

    run: re.Pattern[bytes]
    lines: int


@dataclass(frozen=True, slots=True)
class FoundRun:
    """A run of points in a piece of bytes.

    Parameters
    ----------
    start, first, stop : int
        Where the run begins, and where its first and its last point end.
    count : int
        How many points it has.
    lines : int
        How many lines are from one point to the next.
    """

    start: int
    first: int
    stop: int
    count: int
    lines: int


class RunFinder:
    """Finds one run after the other in pieces of a file; remembers how the last one was written."""

    def __init__(self) -> None:
        self._form: _Form | None = None

    def find(self, piece: bytes, at: int) -> FoundRun | None:
        """Return the first run of at least ``LEAST`` points that begins at or behind ``at``, None if there is none."""
        while (start := piece.find(_OPEN, at)) >= 0:
            found = self._form.run.match(piece, start) if self._form is not None else None
            if found is None or found.end(1) == found.end():
                first = _first().match(piece, start)
                if first is None:
                    at = start + len(_OPEN)
                    continue
                blanks = _BLANKS.match(piece, first.end())
                self._form = _form(first[0], blanks[0] if blanks else b"")
                found = self._form.run.match(piece, start)
            if found is None or self._form is None:  # a value that one pattern takes and the other does not
                return None
            count = piece.count(b"<", start, found.end())
            if count >= LEAST:
                return FoundRun(start, found.end(1), found.end(), count, self._form.lines)
            at = found.end()
        return None


def line_breaks(octets: bytes) -> int:
    """Return how many lines end in ``octets``, as XML counts them: CR LF is one end, CR alone is one too."""
    return octets.count(b"\n") if b"\r" not in octets else len(_BREAK.findall(octets))


@cache
def _first() -> re.Pattern[bytes]:
    """Return the pattern of a point with numeric attributes alone."""
    name = "|".join(sorted(numeric_names())).encode()
    attribute = rb"""%b+(?:%b)=(?:"%b"|'%b')""" % (_BLANK, name, _VALUE, _VALUE)
    return re.compile(rb"%b(?:%b)++%b*+/>" % (_OPEN, attribute, _BLANK))


@cache
def numeric_names() -> frozenset[str]:
    """Letters of the point attributes that hold plain numbers."""
    numbers = {"xs:decimal", "xs:long", "xs:unsignedByte", "xs:NMTOKEN"}
    return frozenset(fact.letter for fact in elements()[POINT].attributes.values() if fact.type in numbers)


def _form(point: bytes, blanks: bytes) -> _Form:
    """Return how a run is written whose first point is this one, with so many blanks behind it."""
    pieces = re.split(rb"""(["'])[^"']*["']""", point)
    tag = b"".join(re.escape(piece) if at % 2 == 0 else piece + _VALUE + piece for at, piece in enumerate(pieces))
    run = re.compile(rb"(%b)(?:%b%b)*+" % (tag, re.escape(blanks), tag))
    return _Form(run, line_breaks(point) + line_breaks(blanks))

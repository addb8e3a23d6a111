"""Leave out runs of plain points before validation.

Nearly all of a long file are points, and a validating parser looks at each of them for longer than it takes to see
that it is like the one before. A point in plain spelling (type, north and east in their range, nothing else) is valid
wherever one before it is, since elements that hold points take any number of them. So of neighbouring plain points
only the first is given to the validator; line breaks stay, so that lines are right.
"""

from __future__ import annotations

import re
from functools import cache

from taskdata.isoxml.facts import elements

_BLANK = rb"[ \t\r\n]*"
_NORTH = rb'"-?[0-8]?[0-9](?:\.[0-9]{1,15})?"'
_EAST = rb'"-?(?:1[0-7][0-9]|[0-9]{1,2})(?:\.[0-9]{1,15})?"'


def thinned(data: bytes, major: int) -> bytes:
    """Return a file of task data of version ``major`` with one point instead of each run of plain ones.

    Parameters
    ----------
    data : bytes
        A well-formed or broken XML file in an encoding that keeps ASCII letters; in any other nothing is left out.
    major : int
        VersionMajor whose schema it is for.

    Returns
    -------
    bytes
        Valid or not valid like ``data``, with faults in the same lines.
    """
    return _run(major).sub(_first, data)


def _first(match: re.Match[bytes]) -> bytes:
    return match[1] + b"\n" * match[0].count(b"\n", len(match[1]))


@cache
def _run(major: int) -> re.Pattern[bytes]:
    """Return the pattern of two or more plain points, the first as a group."""
    fact = elements()["PNT"]
    letters = {name: letter.encode() for name, letter in fact.letters.items()}
    codes = [str(v.low) for v in fact.attributes[fact.letters["PointType"]].values if v.holds(major)]
    kind = letters["PointType"] + rb'="(?:%b)"' % "|".join(codes).encode()
    north, east = letters["PointNorth"] + b"=" + _NORTH, letters["PointEast"] + b"=" + _EAST
    inside = rb"(?:%b %b %b|%b %b %b)" % (kind, north, east, east, north, kind)
    point = rb"<PNT %b ?/>" % inside
    return re.compile(rb"(%b)(?:%b%b)++" % (point, _BLANK, point))

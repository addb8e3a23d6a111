"""Longitudes and latitudes as people write them: decimal degrees, degrees and minutes, seconds, hemisphere letters."""

from __future__ import annotations

import re
from collections.abc import Sequence
from enum import Enum

_NUMBER = r"\d+(?:[.,]\d+)?"
_MINUTES = "'m:\u2019\u2032"
_SECONDS = "[\"s\u201d\u2033]|''|\u2019\u2019|\u2032\u2032"
_ANGLE = re.compile(
    rf"""^\s*(?P<before>[NSEWO])?\s*(?P<sign>[+\-\u2212])?\s*
    (?P<degrees>{_NUMBER})\s*(?:[°ºd:]|\s|$|(?=[NSEWO]))\s*
    (?:(?P<minutes>{_NUMBER})\s*(?:[{_MINUTES}]|\s|$|(?=[NSEWO]))\s*
    (?:(?P<seconds>{_NUMBER})\s*(?:{_SECONDS}|\s|$|(?=[NSEWO]))\s*)?)?
    (?P<after>[NSEWO])?\s*$""",
    re.VERBOSE | re.IGNORECASE,
)
_PACKED = re.compile(r"^\s*(\d{1,5})([.,]\d+)?\s*$")
_NEARLY = 0.9
_SIGNS = {"N": 1.0, "E": 1.0, "S": -1.0, "W": -1.0}


class Axis(Enum):
    """Which of the two angles; the value is the largest it can be, in degrees."""

    LONGITUDE = 180.0
    LATITUDE = 90.0

    @property
    def letters(self) -> frozenset[str]:
        """The letters of its hemispheres; ``O`` is east in German and west in French, Italian and Spanish."""
        return frozenset("EWO") if self is Axis.LONGITUDE else frozenset("NS")


def is_packed(texts: Sequence[str], axis: Axis) -> bool:
    """Tell whether numbers are degrees and minutes in one, as ``5412.5``, which NMEA 0183 writes beside a letter.

    They are where one of them is more than an angle can be and nearly all have less than 60 minutes.
    """
    sizes = [float(text.replace(",", ".")) for text in texts if _PACKED.match(text)]
    fitting = sum(size % 100.0 < 60.0 for size in sizes)
    return fitting >= _NEARLY * len(texts) and any(size > axis.value for size in sizes)


def angle(text: str, axis: Axis, letter: str | None = None, *, packed: bool = False, o_is: str | None = None) -> float:
    """Return degrees, east and north positive.

    Parameters
    ----------
    text : str
        Such as ``9.4352``, ``9° 26' 6.7" E``, ``N54 12.5``, ``54:12:30``.
    letter : str, optional
        The letter of the hemisphere, where it stands apart.
    packed : bool
        The text is degrees and minutes in one, as `is_packed` tells of a column.
    o_is : str, optional
        Which letter, ``E`` or ``W``, the letter ``O`` stands for.

    Raises
    ------
    ValueError
        It is no such angle; the message says why.
    """
    if packed and (both := _PACKED.match(text)) is not None:
        degrees, minutes = both[1][:-2] or "0", f"{both[1][-2:]}{both[2] or ''}"
        return _value(degrees, minutes, None, axis) * (_sign(letter, axis, o_is) if letter else 1.0)
    found = _ANGLE.match(text)
    if found is None:
        raise ValueError(f"{text!r} is not an angle")
    letters = {item.upper() for item in (found["before"], found["after"], letter) if item}
    if len(letters) > 1 or (letters and found["sign"]):
        raise ValueError(f"{text!r} says its hemisphere twice")
    size = _value(found["degrees"], found["minutes"], found["seconds"], axis)
    if letters:
        return size * _sign(letters.pop(), axis, o_is)
    return -size if found["sign"] in {"-", "\u2212"} else size


def meaning_of_o(texts: Sequence[str]) -> str | None:
    """Return what the letter ``O`` stands for in a column of longitudes: the side that has no other letter there.

    None where nothing shows it.
    """
    used = {letter for text in texts for letter in re.findall(r"[EW]", text.upper())}
    return {frozenset("E"): "W", frozenset("W"): "E"}.get(frozenset(used))


def _value(degrees: str, minutes: str | None, seconds: str | None, axis: Axis) -> float:
    parts = [float(part.replace(",", ".")) for part in (degrees, minutes, seconds) if part is not None]
    for name, part in zip(("minutes", "seconds"), parts[1:], strict=False):
        if part >= 60.0:
            raise ValueError(f"{part:g} {name} are more than an angle has")
    if any(part != int(part) for part in parts[:-1]):
        raise ValueError("only its last part may have decimals")
    size = sum(part / 60.0**power for power, part in enumerate(parts))
    if size > axis.value:
        raise ValueError(f"{size:g} degrees are more than {axis.value:g}")
    return size


def _sign(letter: str | None, axis: Axis, o_is: str | None) -> float:
    name = (letter or "").strip().upper()
    if name not in axis.letters:
        raise ValueError(f"{letter!r} is no hemisphere of a {axis.name.lower()}")
    if name == "O":
        if o_is is None:
            raise ValueError("the letter O may stand for east or west")
        name = o_is
    return _SIGNS[name]

"""The sentences of an NMEA 0183 log that say where and when: GGA, RMC, VTG, GST and ZDA, of any talker.

Sentences are parsed by pynmea2, checksums included. What a line holds before the ``$``, such as the time of a terminal
program, does not count.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from datetime import date, datetime
from typing import IO, Any

import pynmea2

from taskdata.dataclass import dataclass
from taskdata.file_formats.delimited.angles import Axis, angle

KNOT_M_S = 1852.0 / 3600.0
"""Metres a second in a knot (the international nautical mile is 1852 m)."""

LONGEST = 1024
"""Bytes of a line that are looked at; a sentence has at most 82 characters (NMEA 0183, from memory)."""

KINDS = ("GGA", "RMC", "VTG", "GST", "ZDA")
_WANTED = re.compile(rb"\$([A-Z]{2})(%b),[^$\r\n]*" % "|".join(KINDS).encode())
_CUT = re.compile(rb"\$[A-Z]{0,5}\s*$")
_CHECKSUM = re.compile(rb"\$[A-Z]{5},[^$\r\n]*\*[0-9A-Fa-f]{2}")
_TIME = re.compile(r"[0-9]{6}(\.[0-9]*)?")
_HEAD = 1 << 16
_BROKEN = (pynmea2.ParseError, ValueError, TypeError, AttributeError, OverflowError)
"""What pynmea2 and the standard library raise for what is no sentence; a date of many digits overflows."""
_COMMAS = {"GGA": 14, "RMC": 9, "VTG": 8, "GST": 8, "ZDA": 4}
"""Commas that a whole sentence has at least (NMEA 0183, from memory)."""


@dataclass(slots=True)
class Sentence:
    """What one sentence says; None where it says nothing.

    Parameters
    ----------
    kind, talker : str
        Such as ``GGA`` and ``GN``.
    clock : float or None
        Seconds of the day, coordinated universal time.
    day : date or None
        The date.
    lon, lat : float or None
        Degrees; None without a fix.
    up_m : float or None
        Metres above the ellipsoid: the altitude and the geoid separation together.
    fix, satellites : int or None
        Quality of the fix as GGA counts it, satellites in use.
    hdop : float or None
        Horizontal dilution of precision.
    speed_m_s, course_deg : float or None
        Over ground, clockwise from true north.
    spread_m : (float, float) or None
        Standard deviations of latitude and longitude in metres (GST).
    """

    kind: str
    talker: str
    clock: float | None = None
    day: date | None = None
    lon: float | None = None
    lat: float | None = None
    up_m: float | None = None
    fix: int | None = None
    satellites: int | None = None
    hdop: float | None = None
    speed_m_s: float | None = None
    course_deg: float | None = None
    spread_m: tuple[float, float] | None = None


@dataclass
class Counts:
    """How many sentences are broken, and the line of the first of them, from 1."""

    lines: int = 0
    broken: int = 0
    first_broken: int | None = None
    why: str = ""

    def break_at(self, why: str) -> None:
        """Count a broken sentence."""
        self.broken += 1
        if self.first_broken is None:
            self.first_broken, self.why = self.lines, why


def has_checksums(file: IO[bytes]) -> bool:
    """Tell whether the sentences of a file have checksums, by its beginning."""
    found = _CHECKSUM.search(file.read(_HEAD)) is not None
    file.seek(0)
    return found


def sentences_of(line: bytes, counts: Counts, *, checked: bool) -> Iterator[Sentence]:
    """Yield the sentences of a line, of which there may be several; broken ones are counted.

    ``checked`` tells that the sentences of the file have checksums.
    """
    found = list(_WANTED.finditer(line))
    if not found and _CUT.search(line):
        counts.break_at("it is cut off")
    for item in found:
        try:
            yield _read(item[0].decode("ascii"), checked=checked)
        except _BROKEN as error:
            counts.break_at(_why(error))


def _why(error: Exception) -> str:
    if isinstance(error, pynmea2.ChecksumError):
        return "its checksum does not match"
    return str(error.args[0][0]) if error.args and isinstance(error.args[0], tuple) else str(error)


def _read(text: str, *, checked: bool) -> Sentence:
    """Return what a sentence says; ``checked`` tells that the sentences of the file have checksums.

    Raises
    ------
    pynmea2.ParseError, ValueError
        It is not whole, or holds what it must not.
    """
    if "*" not in text and (checked or text.count(",") < _COMMAS[text[3:6]]):
        raise ValueError("it is cut off")
    parsed = pynmea2.parse(text.strip(), check="*" in text)
    kind = parsed.sentence_type
    found = Sentence(kind, parsed.talker)
    if kind in {"GGA", "RMC", "GST", "ZDA"}:
        found.clock = _clock(text.split(",")[1].partition("*")[0])
    _PARTS[kind](parsed, found)
    return found


def _gga(parsed: Any, found: Sentence) -> None:
    found.fix = _count(parsed.gps_qual) or 0
    if found.fix:
        _place(parsed, found)
    altitude, separation = _number(parsed.altitude), _number(parsed.geo_sep)
    found.up_m = None if altitude is None or separation is None else altitude + separation
    found.satellites = _count(parsed.num_sats)
    found.hdop = _number(parsed.horizontal_dil)


def _rmc(parsed: Any, found: Sentence) -> None:
    if isinstance(parsed.datestamp, str) and parsed.datestamp:  # pynmea2 leaves a date that does not exist as it is
        raise ValueError("its date does not exist")
    found.day = parsed.datestamp or None
    if parsed.status == "A":
        _place(parsed, found)
        speed = _number(parsed.spd_over_grnd)
        found.speed_m_s = None if speed is None else speed * KNOT_M_S
        found.course_deg = _number(parsed.true_course)


def _vtg(parsed: Any, found: Sentence) -> None:
    knots = _number(parsed.spd_over_grnd_kts)
    found.speed_m_s = None if knots is None else knots * KNOT_M_S
    found.course_deg = _number(parsed.true_track)


def _gst(parsed: Any, found: Sentence) -> None:
    lat, lon = _number(parsed.std_dev_latitude), _number(parsed.std_dev_longitude)
    found.spread_m = None if lat is None or lon is None else (lat, lon)


def _zda(parsed: Any, found: Sentence) -> None:
    if parsed.day and parsed.month and parsed.year:
        found.day = date(int(parsed.year), int(parsed.month), int(parsed.day))


_PARTS = {"GGA": _gga, "RMC": _rmc, "VTG": _vtg, "GST": _gst, "ZDA": _zda}


def _place(parsed: Any, found: Sentence) -> None:
    """Take the position; degrees and minutes are put together in one step, so that no digit is lost on the way."""
    if parsed.lat and parsed.lon:
        found.lat = angle(parsed.lat, Axis.LATITUDE, parsed.lat_dir, packed=True)
        found.lon = angle(parsed.lon, Axis.LONGITUDE, parsed.lon_dir, packed=True)


def _clock(text: str) -> float | None:
    """Return the seconds of the day that ``hhmmss.sss`` says.

    Raises
    ------
    ValueError
        It is no time.
    """
    if not text:
        return None
    if not _TIME.fullmatch(text):
        raise ValueError("its time does not exist")
    moment = datetime.strptime(text[:6], "%H%M%S")
    rest = float(f"0{text[6:]}") if text[6:] else 0.0
    return moment.hour * 3600.0 + moment.minute * 60.0 + moment.second + rest


def _count(value: Any) -> int | None:
    """Return a small whole number.

    Raises
    ------
    ValueError
        It is something else.
    """
    if value is None or value == "":
        return None
    number = int(value)
    if not 0 <= number < 256:
        raise ValueError(f"{value!r} is more than can be counted")
    return number


def _number(value: Any) -> float | None:
    if value is None or value == "":
        return None
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{value!r} is not a number")
    return number

"""A drive over Ostzipfel as a receiver logs it (NMEA 0183), and the same drive as a table from a spreadsheet."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import reduce
from operator import xor
from pathlib import Path

from _place import HEIGHT, Metres, degrees

START = datetime(2025, 6, 11, 5, 40, 0)
SPEED = 3.0
GEOID = 40.2
PASSES = ((312.0, 45.0, 275.0), (318.0, 275.0, 45.0), (324.0, 45.0, 275.0))
"""East, and north from and to, of each pass; 6 m apart."""


def make_receiver(folder: Path) -> None:
    """Write the log and the table."""
    folder.mkdir(parents=True)
    lines, rows = [], ["Zeit;Breite;Länge;Tempo (km/h)"]
    for number, (place, course) in enumerate(drive()):
        moment = START + timedelta(seconds=number)
        lat, lon = degrees(*place)
        lines += [gga(moment, lat, lon), rmc(moment, lat, lon, course)]
        speed = f"{SPEED * 3.6:.1f}".replace(".", ",")
        rows.append(f"{moment:%d.%m.%Y %H:%M:%S};{minutes(lat)} N;{minutes(lon)} E;{speed}")
    (folder / "mowing.nmea").write_bytes("".join(f"{line}\r\n" for line in lines).encode())
    (folder / "mowing.csv").write_bytes("".join(f"{row}\r\n" for row in rows).encode("windows-1252"))


def drive() -> Iterator[tuple[Metres, float]]:
    """Yield place and course at each second: the passes, and half a circle from each to the next."""
    for number, (east, start, stop) in enumerate(PASSES):
        course = 0.0 if stop > start else 180.0
        sign = 1.0 if stop > start else -1.0
        for second in range(int(abs(stop - start) / SPEED)):
            yield (east, start + sign * SPEED * second), course
        if number + 1 < len(PASSES):
            radius = (PASSES[number + 1][0] - east) / 2.0
            for second in range(1, int(math.pi * radius / SPEED)):
                angle = SPEED * second / radius
                place = (east + radius * (1.0 - math.cos(angle)), stop + sign * radius * math.sin(angle))
                yield place, (course + sign * math.degrees(angle)) % 360.0


def sentence(body: str) -> str:
    """Return a sentence with its checksum."""
    return f"${body}*{reduce(xor, body.encode()):02X}"


def packed(value: float, width: int) -> str:
    """Return degrees and minutes in one number."""
    return f"{int(value):0{width}d}{value % 1.0 * 60.0:010.7f}"


def minutes(value: float) -> str:
    """Return degrees and minutes with a decimal comma."""
    return f"{int(value)}° {value % 1.0 * 60.0:.7f}'".replace(".", ",")


def gga(moment: datetime, lat: float, lon: float) -> str:
    """Return the sentence that says where the antenna is."""
    up = HEIGHT / 1000.0 - GEOID
    return sentence(
        f"GNGGA,{moment:%H%M%S}.00,{packed(lat, 2)},N,{packed(lon, 3)},E,4,17,0.7,{up:.3f},M,{GEOID},M,1.0,0007"
    )


def rmc(moment: datetime, lat: float, lon: float, course: float) -> str:
    """Return the sentence that says the date."""
    knots = SPEED * 3600.0 / 1852.0
    return sentence(
        f"GNRMC,{moment:%H%M%S}.00,A,{packed(lat, 2)},N,{packed(lon, 3)},E,{knots:.3f},{course:.1f},{moment:%d%m%y},,,R"
    )

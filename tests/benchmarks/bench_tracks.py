"""What it takes to look into large position logs of other programs: CPU seconds and peak memory of a process."""

from __future__ import annotations

import contextlib
import datetime
import io
import tempfile
from collections.abc import Iterator
from functools import reduce
from operator import xor
from pathlib import Path

from taskdata.cli import main
from tests.benchmarks.measure import apart, show

SIZE = 500_000_000
_START = datetime.datetime(2025, 4, 3, 6, tzinfo=datetime.UTC)
_ROW = 4000
"""Records from one end of the field to the other."""


def run(size: int = SIZE, rounds: int = 1) -> dict[str, tuple[float, float]]:
    """Print and return seconds and peak MiB of a CSV and of an NMEA log of so many bytes."""
    rows, found = [("log", "positions", "CPU seconds", "peak MiB")], {}
    for name, lines in (("log.csv", _csv()), ("log.nmea", _nmea())):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / name
            count = _write(path, lines, size)
            found[name] = apart("tests.benchmarks.bench_tracks", ["look"], [str(path)], rounds)["look"]
        rows.append((name, str(count), *(f"{item:.0f}" for item in found[name])))
    show(f"inspect of a log of {size} bytes (median of {rounds})", rows)
    return found


def look(path: str) -> None:
    """Inspect a log."""
    with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):
        main(["inspect", path, "--json"])


def _write(path: Path, lines: Iterator[str], size: int) -> int:
    written = count = 0
    with path.open("w", newline="", encoding="ascii") as file:
        for line in lines:
            written += file.write(line)
            count += 1
            if written >= size:
                return count
    raise AssertionError("a drive does not end")


def _drive() -> Iterator[tuple[datetime.datetime, float, float]]:
    """Yield time, longitude and latitude five times a second, to and fro."""
    step = lon = 0
    while True:
        lon += 1 if (step // _ROW) % 2 else -1
        yield _START + datetime.timedelta(seconds=0.2 * step), 7.004 + lon * 3e-7, 54.3003 + step // _ROW * 1e-4
        step += 1


def _csv() -> Iterator[str]:
    yield "time,lon,lat,height,speed_kmh,heading,rate_kg_ha\n"
    for number, (time, lon, lat) in enumerate(_drive()):
        stamp = time.strftime("%Y-%m-%dT%H:%M:%S.") + f"{time.microsecond // 1000:03d}Z"
        measured = f"{12.3 + number % 7 / 10:.2f},{7.5 + number % 11 / 10:.1f},90,{180 + number % 13}"
        yield f"{stamp},{lon:.9f},{lat:.9f},{measured}\n"


def _nmea() -> Iterator[str]:
    for time, lon, lat in _drive():
        clock = f"{time:%H%M%S}.{time.microsecond // 10_000:02d}"
        place = f"{_minutes(lat, 2)},N,{_minutes(lon, 3)},E"
        fix = _sentence(f"GNGGA,{clock},{place},4,14,0.7,12.345,M,42.1,M,1.0,0001")
        yield fix + _sentence(f"GNRMC,{clock},A,{place},4.12,90.0,{time:%d%m%y},,,R")


def _minutes(degrees: float, digits: int) -> str:
    whole = int(degrees)
    return f"{whole:0{digits}d}{(degrees - whole) * 60:010.7f}"


def _sentence(text: str) -> str:
    return f"${text}*{reduce(xor, text.encode()):02X}\r\n"

"""Time logs: the header, and records that hold a value only when it is new."""

from __future__ import annotations

import random
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from _place import HEIGHT, degrees
from _xml import Element, el, write

from taskdata.isoxml import facts

CODES = {"<u1": "B", "<u2": "H", "<u4": "I", "<i4": "i"}
EPOCH = datetime(1980, 1, 1)
ZONE = timedelta(hours=2)
EVERYTHING = (
    "PositionNorth",
    "PositionEast",
    "PositionUp",
    "PositionStatus",
    "PDOP",
    "HDOP",
    "NumberOfSatellites",
    "GpsUtcTime",
    "GpsUtcDate",
)


@dataclass(frozen=True, slots=True)
class Channel:
    """One logged value: DDI and device element."""

    ddi: int
    part: str


class Log:
    """Collect records; ``stored`` names the position fields kept in each, ``constant`` those kept in the header."""

    def __init__(
        self, channels: Sequence[Channel], stored: Sequence[str], constant: Mapping[str, object] | None = None
    ) -> None:
        self.channels = channels
        self.constant = dict(constant or {})
        self.stored = ["TimeStartTimeOfDay", "TimeStartDate", *stored]
        fields = [field for field in facts.binary_fields("TLG") if field.name in self.stored]
        self.names = [field.name for field in fields]
        self.missing = {field.name: field.missing for field in fields}
        self.layout = "<" + "".join(CODES[field.dtype] for field in fields)
        self.data = bytearray()
        self.last: dict[int, int] = {}
        self.count = 0

    def add(self, raw: Mapping[str, int | None], values: Mapping[int, int]) -> None:
        """Add a record of raw numbers (None = not available); values that did not change are left out."""
        fresh = {index: value for index, value in values.items() if self.last.get(index) != value}
        self.last.update(fresh)
        numbers = [self.missing[name] if raw[name] is None else raw[name] for name in self.names]
        self.data += struct.pack(self.layout, *numbers)
        self.data += struct.pack("<B", len(fresh))
        for index, value in sorted(fresh.items()):
            self.data += struct.pack("<Bi", index, value - (1 << 32) if value >= 1 << 31 else value)
        self.count += 1

    def write(self, folder: Path, name: str) -> Element:
        """Write header and records and return the TLG that names them."""
        empty = dict.fromkeys(self.stored[2:], "")
        position = el("PTN", **{**empty, **self.constant})
        values = [
            el("DLV", ProcessDataDDI=f"{channel.ddi:04X}", ProcessDataValue="", DeviceElementIdRef=channel.part)
            for channel in self.channels
        ]
        write(folder / f"{name}.XML", el("TIM", position, *values, Start="", Type=4))
        (folder / f"{name}.BIN").write_bytes(self.data)
        return el("TLG", Filename=name, Filelength=len(self.data), TimeLogType=1)


class Receiver:
    """A positioning receiver: centimetre noise, changing fix quality and a stretch without position."""

    def __init__(self, seed: str, start: datetime, lost: tuple[float, float] = (-1.0, -1.0)) -> None:
        self.random = random.Random(seed)  # noqa: S311 - repeatable noise, no secret
        self.start, self.lost = start, lost
        self.drift = [0.0, 0.0]

    def raw(self, seconds: float, east: float, north: float, pause: float = 0.0) -> dict[str, int | None]:
        """Return the raw numbers of a record ``seconds`` after the start; ``pause`` seconds were not logged."""
        moment = self.start + timedelta(milliseconds=round(1000 * (seconds + pause)))
        raw: dict[str, int | None] = {}
        raw["TimeStartTimeOfDay"], raw["TimeStartDate"] = _clock(moment)
        raw["GpsUtcTime"], raw["GpsUtcDate"] = _clock(moment - ZONE)
        if self.lost[0] <= seconds < self.lost[1]:
            gone = dict.fromkeys(("PositionNorth", "PositionEast", "PositionUp", "PDOP", "HDOP"))
            return {**raw, **gone, "PositionStatus": 0, "NumberOfSatellites": 2}
        self.drift = [0.97 * part + 0.004 * (self.random.random() - 0.5) for part in self.drift]
        latitude, longitude = degrees(east + self.drift[0], north + self.drift[1])
        float_fix = 600 <= seconds < 640
        slow = round(self.random.random() * 2)
        height = HEIGHT + round(12 * east + 8 * north) + round(20 * self.random.random())
        return {
            **raw,
            "PositionNorth": round(latitude * 1e7),
            "PositionEast": round(longitude * 1e7),
            "PositionUp": height,
            "PositionStatus": 5 if float_fix else 4,
            "PDOP": (24 if float_fix else 14) + slow,
            "HDOP": (14 if float_fix else 8) + slow,
            "NumberOfSatellites": (9 if float_fix else 17) + slow,
        }


def _clock(moment: datetime) -> tuple[int, int]:
    gap = moment - EPOCH
    return gap.seconds * 1000 + gap.microseconds // 1000, gap.days

"""A small set that names a file of every kind, and the ways in which a stick loses such a file."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

import pytest

from taskdata.isoxml.files import folders

MAIN = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Hof Ahrenbrook"
 ManagementSoftwareVersion="1" TaskControllerManufacturer="Schlepperwerk Unterlindhollen" TaskControllerVersion="4"
 DataTransferOrigin="2">
  <XFR A="CTP00001" B="1"/>
  <AFE A="NOTES001.TXT" B="1" C="4099999000005" D="200" F="12"/>
  <DVC A="DVC1" B="Spritze" D="A0020000F6012345" F="01020304050607" G="FF000000006564">
    <DET A="DET1" B="1" C="1" E="0" F="0"/>
    <DET A="DET2" B="2" C="2" E="1" F="1"><DOR A="3"/></DET>
    <DPT A="3" B="0043" C="6000"/>
  </DVC>
  <PFD A="PFD1" C="Lange Koppel" D="22000">
    <PLN A="1"><LSG A="1">
      <PNT A="2" C="54.300000000" D="9.500000000"/><PNT A="2" C="54.300000000" D="9.503000000"/>
      <PNT A="2" C="54.301000000" D="9.503000000"/><PNT A="2" C="54.301000000" D="9.500000000"/>
      <PNT A="2" C="54.300000000" D="9.500000000"/>
    </LSG></PLN>
    <LSG A="4" B="Graben"><PNT A="2" C="" D="" J="PNT00001" K="48"/></LSG>
    <GGP A="GGP1" B="Spuren"><GPN A="GPN1" B="Süd" C="1"><LSG A="5">
      <PNT A="6" C="54.300100000" D="9.500000000"/><PNT A="7" C="54.300100000" D="9.503000000"/>
    </LSG></GPN></GGP>
  </PFD>
  <TSK A="TSK1" B="Spritzen" E="PFD1" G="4" H="1">
    <TZN A="1"><PDV A="0001" B="20000"/></TZN><TZN A="2"><PDV A="0001" B="30000"/></TZN>
    <TIM A="2024-04-18T07:00:00" B="2024-04-18T07:01:00" D="4"/>
    <DAN A="A0020000F6012345" C="DVC1"/>
    <GRD A="54.3" B="9.5" C="0.0005" D="0.001" E="3" F="2" G="GRD00001" H="6" I="1"/>
    <TLG A="TLG00001" B="{log}" C="1"/>
  </TSK>
</ISO11783_TaskData>
"""
HEADER = b'<?xml version="1.0" encoding="UTF-8"?>\n<TIM A="" D="4"><PTN A="" B="" D="1"/></TIM>\n'
EXTERNAL = b'<?xml version="1.0" encoding="UTF-8"?>\n<XFC><CTP A="CTP1" B="Weizen"/></XFC>\n'
DAY = 16179
"""2024-04-18, counted from 1980-01-01."""
RECORDS = b"".join(
    struct.pack("<IHiiB", 25_200_000 + 1000 * step, DAY, 543_001_000, 95_000_000 + 500 * step, 0) for step in range(40)
)
POINTS = b"".join(struct.pack("<qq", round(54.3005e16), round((9.5 + 0.001 * step) * 1e16)) for step in range(3))
FILES = {
    "TASKDATA.XML": MAIN.format(log=len(RECORDS)).encode(),
    "CTP00001.XML": EXTERNAL,
    "NOTES001.TXT": b"Nur ein Satz",
    "TLG00001.XML": HEADER,
    "TLG00001.BIN": RECORDS,
    "GRD00001.BIN": bytes([1, 2, 1, 2, 1, 2]),
    "PNT00001.BIN": POINTS,
}
KINDS = {
    "CTP00001.XML": "external file",
    "NOTES001.TXT": "attached file",
    "TLG00001.XML": "header of a log of TSK1",
    "TLG00001.BIN": "log of TSK1",
    "GRD00001.BIN": "grid of TSK1",
    "PNT00001.BIN": "point file of PFD1",
}
"""What each file that may be lost is called."""


def write_set(root: Path, files: dict[str, bytes], *, packed: bool = False, folder: str | None = None) -> Path:
    """Write a set as a folder or an archive; in place of the file ``folder`` stands a folder."""
    if packed:
        with zipfile.ZipFile(root.with_suffix(".zip"), "w") as archive:
            for name, content in files.items():
                archive.writestr(f"TASKDATA/{name}", content)
        return root.with_suffix(".zip")
    place = root / "TASKDATA"
    place.mkdir(parents=True)
    for name, content in files.items():
        (place / name).write_bytes(content)
    if folder is not None:
        (place / folder).mkdir()
    return place


class _Failing(io.BytesIO):
    """A stream whose disk fails behind the first bytes, as a bad sector does."""

    def read(self, size: int | None = -1) -> bytes:
        if self.tell() or size is None or size < 0:
            raise OSError(5, "Input/output error")
        return super().read(min(size, 4))

    def readinto(self, buffer: object) -> int:
        raise OSError(5, "Input/output error")


def refuse(monkeypatch: pytest.MonkeyPatch, name: str, *, midway: bool) -> None:
    """Let the disk refuse one file: when it is opened, or in the middle of reading it."""
    true = folders._opener

    def opener(path: Path) -> Callable[[], BinaryIO]:
        if path.name != name or path.parents[1].name != "stick":
            return true(path)
        if midway:
            return lambda: _Failing(path.read_bytes())

        def refused() -> BinaryIO:
            raise PermissionError(13, "Permission denied", str(path))

        return refused

    monkeypatch.setattr(folders, "_opener", opener)


def spoil(archive: Path, name: str) -> None:
    """Change one byte of the content of a member, so that its checksum is wrong."""
    content = bytearray(archive.read_bytes())
    with zipfile.ZipFile(archive) as opened:
        info = opened.getinfo(f"TASKDATA/{name}")
    start = info.header_offset + 30 + len(info.filename)
    content[start] ^= 0xFF
    archive.write_bytes(bytes(content))

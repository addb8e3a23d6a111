"""Small sets written by hand, for tests of merging."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.sets.merge import Merged, merge
from taskdata.sets.side import Side

OFFICE = 'VersionMajor="4" VersionMinor="3" DataTransferOrigin="1"'
MACHINE = 'VersionMajor="4" VersionMinor="3" DataTransferOrigin="2"'
HEADER = '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="0074" B="" C="DET-1"/></TIM>'


def handmade(folder: Path, body: str, *, root: str = MACHINE, files: Mapping[str, bytes] | None = None) -> Path:
    """Write a set into a new folder and return it."""
    folder.mkdir(parents=True)
    text = f'<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData {root}>{body}</ISO11783_TaskData>\n'
    (folder / "TASKDATA.XML").write_text(text, encoding="utf-8")
    for name, content in (files or {}).items():
        (folder / name).write_bytes(content)
    return folder


def device(label: str, *, elements: int = 1) -> str:
    """Return the description of a drill with a structure label of seven octets."""
    parts = "".join(f'<DET A="DET-{at + 1}" B="{at + 10}" C="1" E="{at}" F="0"/>' for at in range(elements))
    return f'<DVC A="DVC-1" B="Drille" D="A00A800046F00111" F="{label}" G="FF000000006564">{parts}</DVC>'


def log(records: int) -> bytes:
    """Return so many records of a log with the header ``HEADER``, one a second, 1.1 m apart to the north."""
    rows = []
    for at in range(records):
        place = (542_000_000 + 100 * at).to_bytes(4, "little") + (70_000_000).to_bytes(4, "little")
        when = (36_000_000 + 1000 * at).to_bytes(4, "little") + (16_100).to_bytes(2, "little")
        rows.append(when + place + b"\x04\x01\x00" + at.to_bytes(4, "little"))
    return b"".join(rows)


def merged(*folders: Path) -> Merged:
    """Merge sets that lie in folders."""
    sides = []
    for folder in folders:
        document = read_document(folder)
        sides.append(Side(document, to_dataset(document).with_changes(source=str(folder))))
    return merge(sides)

"""Sets of one kind of thing in any number, for the benchmark of growth: each function writes one into a new folder."""

from __future__ import annotations

import uuid
import zipfile
from pathlib import Path

import numpy as np

ROOT = '<{} VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Hof Ahrenbrook" \
ManagementSoftwareVersion="1" DataTransferOrigin="1">\n'
MAIN = "ISO11783_TaskData"
HEADER = '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="00A1" B="" C="DET2"/></TIM>\n'
RECORD = np.dtype(
    [
        *(("ms", "<u4"), ("day", "<u2"), ("north", "<i4"), ("east", "<i4"), ("status", "u1")),
        *(("count", "u1"), ("index", "u1"), ("states", "<i4")),
    ]
)
WIDTH_M, STEP_M, PASS_M = 6.0, 2.0, 400.0
NORTH_M, EAST_M = 111_250.0, 65_100.0
"""Metres of a degree at the place, nearly."""
SPOT = (54.3, 7.0)


def fields(folder: Path, count: int, points: int = 60) -> None:
    """Write fields side by side, each a ring of points with its area."""
    write(folder, "".join(_field(at + 1, *_spot(at), points) for at in range(count)))


def fields_on_the_same_ground(folder: Path, count: int) -> None:
    """Write fields that all lie on the same ground."""
    write(folder, "".join(_field(at + 1, *SPOT, 20) for at in range(count)))


def open_rings(folder: Path, count: int) -> None:
    """Write fields whose rings are open and repeat a point."""
    write(folder, "".join(_field(at + 1, *_spot(at), 60, faulty=True) for at in range(count)))


def crossing_rings(folder: Path, count: int) -> None:
    """Write fields whose rings cross themselves once."""
    bows = (_points(_ring(*_spot(at), 5)[[0, 2, 1, 3, 0]]) for at in range(count))
    field = '<PFD A="PFD{}" C="Schlag" D="0"><PLN A="1"><LSG A="1">{}</LSG></PLN></PFD>\n'
    write(folder, "".join(field.format(at, bow) for at, bow in enumerate(bows, 1)))


def long_ring(folder: Path, count: int) -> None:
    """Write one field with a ring of so many points that is open and repeats a point."""
    write(folder, _field(1, *SPOT, count, faulty=True))


def links(folder: Path, count: int) -> None:
    """Write workers with a link each."""
    workers = "".join(f'<WKR A="WKR{at}" B="Quendelhain {at}"/>\n' for at in range(1, count + 1))
    write(folder, f'<AFE A="LINKLIST.XML" B="2" C="" D="1"/>\n{workers}')
    told = "".join(f'<LNK A="WKR{at}" B="{uuid.UUID(int=at, version=4)}"/>\n' for at in range(1, count + 1))
    _write_root(folder / "LINKLIST.XML", "ISO11783LinkList", f'<LGP A="LGP1" B="1">{told}</LGP>')


def references(folder: Path, count: int) -> None:
    """Write planned tasks that each name a customer, a farm, a field and a worker, of which there are a tenth."""
    few = range(1, count // 10 + 2)
    coding = "".join(
        f'<CTR A="CTR{at}" B="Hof {at}"/><FRM A="FRM{at}" B="Hof {at}" I="CTR{at}"/>'
        f'<PFD A="PFD{at}" C="Schlag {at}" D="87000" E="CTR{at}" F="FRM{at}"/><WKR A="WKR{at}" B="Quendelhain {at}"/>\n'
        for at in few
    )
    tasks = "".join(
        f'<TSK A="TSK{at}" B="Arbeit {at}" C="CTR{one}" D="FRM{one}" E="PFD{one}" F="WKR{one}" G="1"/>\n'
        for at, one in ((at, at % len(few) + 1) for at in range(1, count + 1))
    )
    write(folder, coding + tasks)


def dangling_references(folder: Path, count: int) -> None:
    """Write planned tasks that each name a field and a worker that are not there."""
    write(folder, "".join(f'<TSK A="TSK{at}" E="PFD{at}" F="WKR{at}" G="1"/>\n' for at in range(1, count + 1)))


def texts(folder: Path, count: int) -> None:
    """Write customers with texts in every attribute, some in other scripts, with blanks and of equal names."""
    write(
        folder,
        "".join(
            f'<CTR A="CTR{at}" B="Söderhöft {at % 97} " C="Jördis {at}" D="Lindholler Weg {at}" F="LH-{at:04}" '
            f'G="Ährenbrook" H="Ω {at}" I="Invented" J="000 {at}" M="hof{at}@ahrenbrook.example"/>\n'
            for at in range(1, count + 1)
        ),
    )


def long_text(folder: Path, count: int) -> None:
    """Write one customer whose name has so many characters, among them entities."""
    write(folder, f'<CTR A="CTR1" B="{"Söder &amp; höft "[:13] * (count // 13)}"/>\n')


def attributes(folder: Path, count: int) -> None:
    """Write so many workers with 30 proprietary attributes each."""
    more = " ".join(f'P{at}_x="{at}"' for at in range(30))
    write(folder, "".join(f'<WKR A="WKR{at}" B="Quendelhain {at}" {more}/>\n' for at in range(1, count + 1)))


def zones(folder: Path, count: int) -> None:
    """Write tasks of 200 zones with a polygon and a rate each."""
    parts = []
    for task in range(max(1, count // 200)):
        inner = "".join(
            f'<TZN A="{at + 1}"><PLN A="2"><LSG A="1">{_points(_ring(*_spot(task * 200 + at), 12))}</LSG></PLN>'
            f'<PDV A="0006" B="{at * 1000}"/></TZN>\n'
            for at in range(min(200, count))
        )
        parts.append(f'<TSK A="TSK{task + 1}" B="Streuen" G="1">{inner}</TSK>\n')
    write(folder, "".join(parts))


def guidance(folder: Path, count: int) -> None:
    """Write a field with so many curves of 20 points."""
    lines = "".join(
        f'<GGP A="GGP{at}" B="Leitlinie {at}"><GPN A="GPN{at}" C="3"><LSG A="5">'
        f"{_points(_ring(*_spot(at), 40)[:20], kind=9)}</LSG></GPN></GGP>\n"
        for at in range(1, count + 1)
    )
    write(folder, f'<PFD A="PFD1" C="Kuhle" D="0">{lines}</PFD>')


def sections(folder: Path, count: int) -> None:
    """Write a machine with so many sections beside each other and a log in which they work."""
    width = round(WIDTH_M * 1000)
    inner = "".join(
        f'<DET A="DET{at + 3}" B="{at + 3}" C="4" E="{at + 2}" F="2"><DOR A="{5000 + at}"/><DOR A="4999"/></DET>\n'
        f'<DPT A="{5000 + at}" B="0087" C="{round((at - (count - 1) / 2) * width)}"/>\n'
        for at in range(count)
    )
    machine = (
        '<DVC A="DVC1" B="Spritze" D="A00A800046F00111" F="01020304050607" G="FF000000006564">'
        '<DET A="DET1" B="1" C="1" E="0" F="0"/><DET A="DET2" B="2" C="2" E="1" F="1"><DOR A="4998"/></DET>\n'
        f'{inner}<DPT A="4999" B="0043" C="{width}"/><DPD A="4998" B="00A1" C="1" D="8"/></DVC>\n'
    )
    words = range(0xA1, 0xA1 + min(16, -(-count // 16)))
    values = "".join(f'<DLV A="{ddi:04X}" B="{0x55555555}" C="DET2"/>' for ddi in words)
    write(folder, machine + _task(1, ("TLG00001",), machine=True))
    _write_log(folder, 1, 4, header=f'<TIM A="" D="4"><PTN A="" B="" D=""/>{values}</TIM>\n', spread=count)


def passes(folder: Path, count: int) -> None:
    """Write one log of so many passes beside each other."""
    write(folder, _task(1, ("TLG00001",)))
    _write_log(folder, 1, count)


def long_logs(folder: Path, count: int) -> None:
    """Write two logs of so many records in passes of 200 records on the same field, the later beside the earlier."""
    write(folder, _task(1, ("TLG00001", "TLG00002")))
    for number in (1, 2):
        _write_log(folder, number, max(1, count // 200))


def short_logs(folder: Path, count: int) -> None:
    """Write so many logs of two passes, a task each."""
    names = [f"TLG{number:05}" for number in range(1, count + 1)]
    write(folder, "".join(_task(number, (name,)) for number, name in enumerate(names, 1)))
    for number in range(1, count + 1):
        _write_log(folder, number, 2)


def logs_in_a_zip(folder: Path, count: int) -> None:
    """Write so many short logs, packed."""
    short_logs(folder, count)
    _pack(folder)


def external_files_in_a_zip(folder: Path, count: int) -> None:
    """Write so many external files with a worker each, packed."""
    write(folder, "".join(f'<XFR A="WKR{at:05}" B="1"/>\n' for at in range(1, count + 1)))
    for at in range(1, count + 1):
        (folder / f"WKR{at:05}.XML").write_text(f'<XFC><WKR A="WKR{at}" B="Quendelhain {at}"/></XFC>', encoding="utf-8")
    _pack(folder)


def rows(folder: Path, count: int) -> None:
    """Write a GeoJSON layer of so many fields."""
    folder.mkdir()
    _layer(folder / "fields.geojson", 0, count)


def layers(folder: Path, count: int) -> None:
    """Write so many GeoJSON layers of two fields."""
    folder.mkdir()
    for at in range(count):
        _layer(folder / f"fields{at}.geojson", 2 * at, 2 * at + 2)


def equal_sets(folder: Path, count: int) -> None:
    """Write so many equal sets of ten fields."""
    folder.mkdir()
    for at in range(count):
        fields(folder / f"{at:05}", 10)


def different_sets(folder: Path, count: int) -> None:
    """Write so many sets of ten fields each on ground of their own, under the same identifiers."""
    folder.mkdir()
    for number in range(count):
        write(
            folder / f"{number:05}", "".join(_field(at + 1, *_spot(number * 10 + at), 60, number) for at in range(10))
        )


def seasons(folder: Path, count: int) -> None:
    """Write so many sets of one farm: the same ten fields, outlined anew a little differently, with a task each."""
    folder.mkdir()
    for number in range(count):
        shift = 1e-6 * (number % 97)
        spots = ((_spot(at)[0] + shift, _spot(at)[1] - shift) for at in range(10))
        ground = "".join(_field(at + 1, *spot, 60) for at, spot in enumerate(spots))
        begun = f"{2000 + number // 300}-{number // 25 % 12 + 1:02}-{number % 25 + 1:02}T08:00:00"
        task = f'<TSK A="TSK1" B="Arbeit" E="PFD{number % 10 + 1}" G="4"><TIM A="{begun}" D="4"/></TSK>\n'
        write(folder / f"{number:05}", ground + task)


def write(folder: Path, content: str) -> None:
    """Write a main file into a new folder."""
    folder.mkdir(parents=True)
    _write_root(folder / "TASKDATA.XML", MAIN, content)


def _write_root(path: Path, name: str, content: str) -> None:
    path.write_text(
        f'<?xml version="1.0" encoding="UTF-8"?>\n{ROOT.format(name)}{content}</{name}>\n', encoding="utf-8"
    )


def _spot(at: int) -> tuple[float, float]:
    return SPOT[0] + at // 100 * 0.0035, SPOT[1] + at % 100 * 0.006


def _ring(north: float, east: float, points: int) -> np.ndarray:
    angles = np.linspace(0.0, 2.0 * np.pi, points)
    ring = np.column_stack([north + 0.0015 * np.sin(angles), east + 0.0025 * np.cos(angles)])
    ring[-1] = ring[0]
    return ring


def _points(ring: np.ndarray, kind: int = 2) -> str:
    return "".join(f'<PNT A="{kind}" C="{lat:.9f}" D="{lon:.9f}"/>\n' for lat, lon in ring.tolist())


def _field(number: int, north: float, east: float, points: int, set_: int = 0, *, faulty: bool = False) -> str:
    ring = _ring(north, east, points)
    area = np.pi * 0.0015 * NORTH_M * 0.0025 * 111_320 * np.cos(np.radians(north))
    if faulty:
        ring = np.concatenate([ring[:5], ring[4:-1]])
    return (
        f'<PFD A="PFD{number}" C="Schlag {set_}.{number}" D="{area:.0f}"><PLN A="1"><LSG A="1">\n{_points(ring)}'
        "</LSG></PLN></PFD>\n"
    )


def _task(number: int, names: tuple[str, ...], *, machine: bool = False) -> str:
    logs = "".join(f'<TLG A="{name}"/>' for name in names)
    allocated = '<DAN A="A00A800046F00111" C="DVC1"/>' if machine else ""
    return f'<TSK A="TSK{number}" B="Arbeit {number}" G="4">{allocated}{logs}</TSK>\n'


def _write_log(folder: Path, number: int, passes: int, header: str = HEADER, spread: int = 1) -> None:
    """Write a log of passes to and fro of 200 records beside those of the logs before it, a second a record."""
    along = int(PASS_M / STEP_M)
    line, step = np.divmod(np.arange(passes * along), along)
    rows = np.zeros(len(line), RECORD)
    seconds = np.arange(len(line)) + number * passes * along
    rows["ms"], rows["day"] = seconds % 80_000 * 1000, 16_100 + seconds // 80_000
    step = np.where(line % 2, along - 1 - step, step)
    rows["north"] = (SPOT[0] + STEP_M * step / NORTH_M) * 1e7
    rows["east"] = (SPOT[1] + 0.95 * spread * WIDTH_M * (line + (number - 1) * passes) / EAST_M) * 1e7
    rows["status"], rows["count"], rows["states"] = 4, 1, 1
    if header is not HEADER:
        rows["count"] = 0
        names = ["ms", "day", "north", "east", "status", "count"]
        rows = rows[names].astype([(key, RECORD[key]) for key in names])
    (folder / f"TLG{number:05}.XML").write_text(f'<?xml version="1.0" encoding="UTF-8"?>\n{header}', encoding="utf-8")
    (folder / f"TLG{number:05}.BIN").write_bytes(rows.tobytes())


def _layer(path: Path, first: int, last: int) -> None:
    features = ",\n".join(
        f'{{"type": "Feature", "properties": {{"name": "Schlag {at}"}}, "geometry": {{"type": "Polygon", '
        f'"coordinates": [{_ring(*_spot(at), 30)[:, ::-1].round(9).tolist()}]}}}}'
        for at in range(first, last)
    )
    path.write_text(f'{{"type": "FeatureCollection", "features": [{features}]}}\n', encoding="utf-8")


def _pack(folder: Path) -> None:
    """Replace the files of a folder by one archive of them."""
    files = sorted(folder.iterdir())
    with zipfile.ZipFile(folder / "set.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        for path in files:
            archive.write(path, f"TASKDATA/{path.name}")
    for path in files:
        path.unlink()

"""What merging two sets costs, as ratio to reading both and writing the result.

The second set is the first, back from a machine: half its tasks worked, and half as many fields and tasks again that
the first does not have, under numbers that it has.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from taskdata import api
from tests.benchmarks.measure import apart, show

SIZES = (16_000, 64_000)
ROUNDS = 3
ELEMENTS_OF_A_FIELD = 22
POINTS = 24
ROOT = '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="{}">\n'
CODING = """<CTR A="CTR1" B="Hof"/><WKR A="WKR1" B="Quendelhain"/><PDT A="PDT1" B="Kalk"/>
<DVC A="DVC1" B="Streuer" D="A00A800046F00111" F="01020304050607" G="FF000000006564">
<DET A="DET1" B="1" C="1" E="0" F="0"><DOR A="2"/></DET><DPD A="2" B="0006" C="2" D="9"/></DVC>
"""


def run(sizes: tuple[int, ...] = SIZES, rounds: int = ROUNDS) -> dict[int, float]:
    """Print and return the ratio to reading and writing by number of elements of each set."""
    rows = [("elements of each set", "read, write: CPU seconds", "merge: CPU seconds", "ratio", "peak MiB")]
    ratios = {}
    for size in sizes:
        with tempfile.TemporaryDirectory() as folder:
            fields = size // ELEMENTS_OF_A_FIELD
            write_set(Path(folder) / "one", range(fields), worked=0)
            write_set(Path(folder) / "two", range(fields // 2, fields + fields // 2), worked=fields // 2)
            merging(folder)
            found = apart(__name__, ["reading_and_writing", "merging"], [folder], rounds)
        (floor, _), (seconds, peak) = found["reading_and_writing"], found["merging"]
        ratios[size] = seconds / floor
        rows.append((f"{size}", f"{floor:.2f}", f"{seconds:.2f}", f"{ratios[size]:.2f}", f"{peak:.0f}"))
    show(f"Merging two sets (median of {rounds})", rows)
    return ratios


def reading_and_writing(folder: str) -> Any:
    """Read both sets, and write the result of merging them, which lies there, anew."""
    place = Path(folder)
    kept = [api.read(place / name) for name in ("one", "two", "merged")]
    api.write(kept[2], place / "again", to="isoxml", overwrite=True)
    return kept


def merging(folder: str) -> Any:
    """Merge both sets."""
    place = Path(folder)
    return api.merge([place / "one", place / "two"], place / "merged", to="isoxml", overwrite=True)


def write_set(folder: Path, fields: range, worked: int) -> None:
    """Write a set with so many fields on their ground, a task each, numbered from 1; the first ``worked`` completed."""
    folder.mkdir()
    angles = np.linspace(0.0, 2.0 * np.pi, POINTS)
    with (folder / "TASKDATA.XML").open("w", encoding="utf-8") as stream:
        stream.write(f'<?xml version="1.0" encoding="UTF-8"?>\n{ROOT.format(2 if worked else 1)}{CODING}')
        for at, place in enumerate(fields):
            north, east = 50.0 + place // 200 * 0.0035, 7.0 + place % 200 * 0.006
            ring = np.column_stack([north + 0.0015 * np.sin(angles), east + 0.0025 * np.cos(angles)])
            ring[-1] = ring[0]
            stream.write(_field(at + 1, place, ring.tolist()))
        for at, place in enumerate(fields):
            stream.write(_task(at + 1, place, worked=at < worked))
        stream.write("</ISO11783_TaskData>\n")


def _field(number: int, place: int, ring: list[list[float]]) -> str:
    points = "".join(f'<PNT A="2" C="{north:.9f}" D="{east:.9f}"/>' for north, east in ring)
    ends = "".join(f'<PNT A="{kind}" C="{ring[at][0]:.9f}" D="{ring[at][1]:.9f}"/>' for kind, at in ((6, 0), (7, 12)))
    return (
        f'<PFD A="PFD{number}" C="Schlag {place}" D="87000" E="CTR1"><PLN A="1"><LSG A="1">{points}</LSG></PLN>'
        f'<GGP A="GGP{number}"><GPN A="GPN{number}" C="1"><LSG A="5">{ends}</LSG></GPN></GGP></PFD>\n'
    )


def _task(number: int, place: int, *, worked: bool) -> str:
    zones = "".join(f'<TZN A="{code}"><PDV A="0006" B="{code * 1000 + place}" C="PDT1"/></TZN>' for code in (1, 2, 3))
    values = "".join(f'<DLV A="{ddi:04X}" B="{place * ddi}" C="DET1"/>' for ddi in range(0x74, 0x79))
    hours = range(7, 9) if worked else ()
    times = "".join(
        f'<TIM A="2024-04-18T{at:02}:00:{number % 60:02}" B="2024-04-18T{at:02}:50:00" C="3000" D="4">{values}</TIM>'
        for at in hours
    )
    stamp = f'<ASP A="2024-04-18T07:00:{number % 60:02}" D="{4 if worked else 1}"/>'
    return (
        f'<TSK A="TSK{number}" B="Streuen {place}" C="CTR1" E="PFD{number}" G="{4 if worked else 1}">{zones}{times}'
        f'<WAN A="WKR1">{stamp}</WAN><DAN A="A00A800046F00111" C="DVC1">{stamp}</DAN>'
        f'<PAN A="PDT1" B="004B" C="{place}" D="1">{stamp}</PAN></TSK>\n'
    )

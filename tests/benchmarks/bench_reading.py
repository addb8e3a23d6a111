"""How fast and with how much memory a long main file is read, as ratios to lxml's tree of the same file."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from tests.benchmarks.measure import apart, show

POLYGONS = 21_000
POINTS = 100
ROUNDS = 5


def run(polygons: int = POLYGONS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return seconds and peak MiB of both readers."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "TASKDATA.XML"
        write_source(path, polygons)
        size = path.stat().st_size / 1e6
        found = apart(__name__, ["plain", "tree", "document"], [str(path)], rounds)
    seconds = {name: time for name, (time, _) in found.items()}
    rows = [("what", "CPU seconds", "to lxml", "peak MiB", "to lxml")]
    for name, title in (("tree", "lxml.etree.parse"), ("document", "read_document"), ("plain", "expat alone")):
        time, peak = found[name]
        ratios = (time / seconds["tree"], peak / found["tree"][1])
        rows.append((title, f"{time:.2f}", f"{ratios[0]:.2f}", f"{peak:.0f}", f"{ratios[1]:.2f}"))
    show(f"Reading {size:.0f} MB, {polygons * POINTS} points (median of {rounds})", rows)
    return {
        "seconds_to_lxml": seconds["document"] / seconds["tree"],
        "memory_to_lxml": found["document"][1] / found["tree"][1],
    }


def tree(path: str) -> Any:
    """Read with lxml."""
    from lxml import etree

    return etree.parse(path)


def document(path: str) -> Any:
    """Read as the program does."""
    from taskdata.isoxml.reading.read import read_document

    return read_document(path)


def plain(path: str) -> None:
    """Let expat look at the file without handing anything out."""
    from xml.parsers import expat

    with open(path, "rb") as stream:
        expat.ParserCreate().ParseFile(stream)


def write_source(path: Path, polygons: int) -> None:
    """Write a main file of so many fields with 100 points each, about 4.8 kB a field."""
    with path.open("w", encoding="utf-8") as stream:
        stream.write('<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="3">\n')
        for at in range(polygons):
            stream.write(f'<PFD A="PFD{at + 1}" C="Field {at}" D="{10000 + at}"><PLN A="1"><LSG A="1">\n')
            for step in range(POINTS):
                north, east = 54.0 + at * 1e-6 + step * 1.2345e-5, 10.0 + step * 2.3456e-5
                stream.write(f'<PNT A="2" C="{north:.9f}" D="{east:.9f}"/>\n')
            stream.write("</LSG></PLN></PFD>\n")
        stream.write("</ISO11783_TaskData>\n")

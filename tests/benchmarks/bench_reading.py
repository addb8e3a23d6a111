"""How fast and with how little memory a long main file is read and written, against lxml and a join of its texts."""

from __future__ import annotations

import re
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

from taskdata.api import read
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.writing.write import write_folder
from tests.benchmarks.measure import apart, show

read(Path(__file__).parents[2] / "samples" / "office")  # loads what reading needs, which each process does once
POLYGONS = 21_000
POINTS = 100
ROUNDS = 5
_POINT = re.compile(r'<PNT A="([^"]*)" C="([^"]*)" D="([^"]*)"/>')


def run(polygons: int = POLYGONS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return seconds and peak MiB of both readers, and seconds of writing."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "TASKDATA.XML"
        write_source(path, polygons)
        size = path.stat().st_size / 1e6
        found = apart(__name__, ["plain", "tree", "document", "model"], [str(path)], rounds)
        written, joined = _writing(path, Path(folder), rounds)
    seconds = {name: taken for name, (taken, _) in found.items()}
    rows = [("what", "CPU seconds", "to lxml", "peak MiB", "to lxml")]
    titles = {
        "tree": "lxml.etree.parse",
        "document": "read_document",
        "model": "read, to the model",
        "plain": "expat alone",
    }
    for name, title in titles.items():
        taken, peak = found[name]
        ratios = (taken / seconds["tree"], peak / found["tree"][1])
        rows.append((title, f"{taken:.2f}", f"{ratios[0]:.2f}", f"{peak:.0f}", f"{ratios[1]:.2f}"))
    show(f"Reading {size:.0f} MB, {polygons * POINTS} points (median of {rounds})", rows)
    rows = [("what", "CPU seconds", "to the join"), ("a join of its texts", f"{joined:.2f}", "1.00")]
    rows.append(("write_folder", f"{written:.2f}", f"{written / joined:.2f}"))
    show(f"Writing it back (median of {rounds})", rows)
    return {
        "seconds_to_lxml": seconds["document"] / seconds["tree"],
        "memory_to_lxml": found["document"][1] / found["tree"][1],
        "model_to_lxml": seconds["model"] / seconds["tree"],
        "model_memory_to_lxml": found["model"][1] / found["tree"][1],
        "written_to_join": written / joined,
    }


def _writing(path: Path, folder: Path, rounds: int) -> tuple[float, float]:
    """Return the seconds of writing a set that was read, and those of joining the texts of its points."""
    document = read_document(path)
    points = _POINT.findall(path.read_text(encoding="utf-8"))
    written, joined = [], []
    for at in range(rounds):
        start = time.process_time()
        write_folder(document, folder / f"written{at}")
        written.append(time.process_time() - start)
        start = time.process_time()
        text = "".join([f'<PNT A="{kind}" C="{north}" D="{east}"/>\n' for kind, north, east in points])
        (folder / "joined").write_bytes(text.encode())
        joined.append(time.process_time() - start)
    return median(written), median(joined)


def tree(path: str) -> Any:
    """Read with lxml."""
    from lxml import etree

    return etree.parse(path)


def document(path: str) -> Any:
    """Read as the program does."""
    return read_document(path)


def model(path: str) -> Any:
    """Read to the model, as every command does."""
    return read(path)


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

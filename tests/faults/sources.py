"""Sources that are cut off or taken away while they are read."""

from __future__ import annotations

import random
import shutil
import time
from pathlib import Path

import taskdata
from tests import samples
from tests.faults.report import Report
from tests.faults.runs import Run
from tests.faults.states import half_made, held

FORMS = ("isoxml", "zip", "geojson", "shapefile", "gpkg", "parquet", "flatgeobuf", "kml", "kmz", "gpx", "csv")
_FILES = {"zip": "set.zip", "gpkg": "farm.gpkg"}


def sources(work: Path, count: int, seed: int) -> Report:
    """Cut off, empty or remove a file of each kind of source at random moments of a conversion."""
    report, draw = Report("source"), random.Random(seed)  # noqa: S311  # moments, no secret
    spare = work / "spare"
    spare.mkdir()
    forms = FORMS[:count]
    for form in forms:
        taskdata.convert(samples.MACHINE, spare / _FILES.get(form, form), to="isoxml" if form == "zip" else form)
    seconds = {form: _seconds(spare / _FILES.get(form, form), work) for form in forms}
    for number in range(count):
        form, change = forms[number % len(forms)], (number // len(forms) + number) % 3
        place = work / "source"
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        source, copy = spare / _FILES.get(form, form), place / _FILES.get(form, form)
        (shutil.copytree if source.is_dir() else shutil.copy)(source, copy)
        files = sorted((item for item in (copy.rglob("*") if copy.is_dir() else [copy]) if item.is_file()), key=_size)
        file, share = draw.choice(files[len(files) // 2 :]), draw.random()
        what = f"{form} {('cut', 'emptied', 'removed')[change]} {file.name} at {share:.3f}"
        out = work / "out"
        shutil.rmtree(out, ignore_errors=True)
        out.mkdir()
        run = Run(["convert", str(copy), str(out / "set"), "--to", "isoxml", "--quiet"], work)
        time.sleep(share * seconds[form])
        _hit(file, change)
        left = held(place, times=True)
        ended = run.ended()
        report.count["runs"] += 1
        report.count[f"of these code {ended.code}"] += 1
        report.check(what, ended.wrong(0, 1, 2, 3))
        report.check(what, f"left {half_made(out)}" if half_made(out) else None)
        report.check(what, None if held(place, times=True) == left else "the source changed")
        if ended.code in {0, 1}:
            report.check(what, None if taskdata.read(out / "set") else "the target cannot be read")
        elif any(out.iterdir()):
            report.check(what, f"a target was left: {list(held(out))[:5]}")
    return report


def _size(path: Path) -> int:
    return path.stat().st_size


def _seconds(source: Path, work: Path) -> float:
    began = time.monotonic()
    ended = Run(["convert", str(source), str(work / "try" / "set"), "--to", "isoxml", "--quiet"], work).ended()
    if ended.code not in {0, 1}:
        raise RuntimeError(f"{source} does not run: {ended}")
    shutil.rmtree(work / "try")
    return time.monotonic() - began


def _hit(file: Path, change: int) -> None:
    if change == 2:
        file.unlink()
        return
    with file.open("r+b") as stream:
        stream.truncate(0 if change else file.stat().st_size // 2)

"""What the program is asked to do while faults come: commands with the old target that stands in their way."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import taskdata
from taskdata.staging import write_text
from tests import samples
from tests.faults.runs import Run
from tests.faults.states import Held, held

_SOURCE = "SOURCE"


@dataclass
class Job:
    """A command with its source, and the two states that its target may be in.

    Parameters
    ----------
    name : str
        What it is called in reports.
    words : list of str
        The command.
    folder : Path
        Holds the target and, beside it, nothing else.
    source : Path
        What is read, all of it.
    old, new : dict
        The folder before, and after an undisturbed run.
    seconds : float
        How long an undisturbed run takes.
    goes_on : bool
        The next run of the same command takes up what is there, and makes the new state of it.
    """

    name: str
    words: list[str]
    folder: Path
    source: Path
    spare: Path
    old: Held = field(default_factory=dict)
    new: Held = field(default_factory=dict)
    seconds: float = 0.0
    goes_on: bool = False

    def reset(self) -> None:
        """Put the old target back."""
        shutil.rmtree(self.folder, ignore_errors=True)
        shutil.copytree(self.spare, self.folder)

    def settle(self) -> Held:
        """Let another run write beside the target, or go on with it, and return what is in the folder then."""
        if self.goes_on:
            ended = Run(self.words, self.folder.parent).ended()
            return held(self.folder) if ended.code in {0, 1} else {"the next run": str(ended)}
        beside = self.folder / "set" if (self.folder / "set").is_dir() else self.folder
        write_text(beside / "next.txt", "the next run")
        (beside / "next.txt").unlink()
        return held(self.folder)


def jobs(work: Path, names: Sequence[str] = ()) -> list[Job]:
    """Return the jobs, each tried once without a fault."""
    return [_tried(job, work) for name, make in _MAKERS.items() if not names or name in names for job in [make(work)]]


def _job(work: Path, name: str, before: Callable[[Path], object], words: Sequence[str], source: Path) -> Job:
    home = work / name
    own = Path(shutil.copytree(source, home / "source" / source.name))
    spare = home / "spare"
    spare.mkdir()
    before(spare)
    folder = home / "out"
    filled = [str(own) if word == _SOURCE else word.replace("OUT", str(folder)) for word in words]
    return Job(name, filled, folder, home / "source", spare)


def _tried(job: Job, work: Path) -> Job:
    job.reset()
    job.old = held(job.folder)
    for _ in range(2):
        job.reset()
        run = Run(job.words, work)
        ended = run.ended()
        if ended.code not in {0, 1}:
            raise RuntimeError(f"{job.name} does not run: {ended}")
        job.seconds = time.monotonic() - run.began
    job.new = held(job.folder)
    if job.old == job.new:
        raise RuntimeError(f"{job.name}: the old target and the new one are alike")
    return job


def _convert(form: str, target: str) -> Callable[[Path], Job]:
    words = ["convert", _SOURCE, f"OUT/{target}", "--to", form, "--overwrite", "--quiet"]
    return lambda work: _job(
        work,
        f"convert-{form}-{target}",
        lambda spare: taskdata.convert(samples.OLDER, spare / target, to=form),
        words,
        samples.MACHINE,
    )


def _fields(work: Path) -> Job:
    """A shapefile that is one file with others beside it."""

    def before(spare: Path) -> None:
        taskdata.passes(samples.OFFICE, field="PFD1", line="GPN1", output=spare / "passes.shp")

    words = ["passes", _SOURCE, "--field", "PFD5", "--output", "OUT/passes.shp", "--overwrite", "--quiet"]
    return _job(work, "passes-shapefile", before, words, samples.OFFICE)


def _clean(work: Path) -> Job:
    def before(spare: Path) -> None:
        taskdata.clean(samples.OLDER, spare / "set", overwrite=True)

    words = ["clean", _SOURCE, "OUT/set", "--review", "--overwrite", "--quiet"]
    return _job(work, "clean", before, words, samples.OFFICE)


def _merge(work: Path) -> Job:
    home = work / "merge-second"
    other = Path(shutil.copytree(samples.OLDER, home / "TASKDATA"))
    words = ["merge", _SOURCE, str(other), "OUT/set", "--to", "isoxml", "--overwrite", "--quiet"]
    return _job(
        work, "merge", lambda spare: taskdata.convert(samples.OLDER, spare / "set", to="isoxml"), words, samples.OFFICE
    )


def _batch(work: Path) -> Job:
    """Two sets, one of which an earlier call has done."""
    sticks = work / "batch-sticks"
    for name, sample in (("a", samples.OLDER), ("b", samples.OFFICE)):
        shutil.copytree(sample, sticks / name / "TASKDATA")
    own = work / "batch" / "source" / sticks.name

    def before(spare: Path) -> None:
        ended = Run(["batch", "convert", str(own / "a"), "--out", str(spare / "all"), *_BATCHED], work).ended()
        if ended.code not in {0, 1}:
            raise RuntimeError(f"batch does not run: {ended}")

    job = _job(work, "batch", before, ["batch", "convert", _SOURCE, "--out", "OUT/all", *_BATCHED], sticks)
    job.goes_on = True
    return job


_BATCHED = ("--workers", "1", "--quiet", "--", "--to", "geojson")

_MAKERS: dict[str, Callable[[Path], Job]] = {
    "isoxml": _convert("isoxml", "set"),
    "zip": _convert("isoxml", "set.zip"),
    "geojson": _convert("geojson", "layers"),
    "shapefile": _convert("shapefile", "layers"),
    "gpkg": _convert("gpkg", "farm.gpkg"),
    "parquet": _convert("parquet", "layers"),
    "flatgeobuf": _convert("flatgeobuf", "layers"),
    "kml": _convert("kml", "layers"),
    "kmz": _convert("kmz", "layers"),
    "gpx": _convert("gpx", "layers"),
    "csv": _convert("csv", "layers"),
    "passes": _fields,
    "clean": _clean,
    "merge": _merge,
    "batch": _batch,
}
FORMATS = tuple(name for name in _MAKERS if name not in {"passes", "clean", "merge", "batch"})
"""The jobs that write each target format."""

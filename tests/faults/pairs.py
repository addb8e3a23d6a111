"""Two runs on one target at the same time."""

from __future__ import annotations

import shutil
from pathlib import Path

from tests.faults.jobs import FORMATS, jobs
from tests.faults.report import Report
from tests.faults.runs import Run
from tests.faults.states import half_made, held


def pairs(work: Path, count: int, _: int) -> Report:
    """Start two runs at once, in turn where nothing stands and where an old target is to be replaced."""
    report = Report("two")
    todo = jobs(work, (*FORMATS, "clean", "merge")[:count])
    for number in range(count):
        job, fresh = todo[number % len(todo)], number // len(todo) % 2 == 0
        job.reset()
        words = job.words
        if fresh:
            shutil.rmtree(job.folder)
            job.folder.mkdir()
            words = [word for word in words if word != "--overwrite"]
        before = held(job.source, times=True)
        runs = [Run(words, work) for _ in range(2)]
        ended = [run.ended() for run in runs]
        codes = sorted(item.code for item in ended)
        what = f"{job.name} {'new' if fresh else 'over an old one'} {codes}"
        report.count["pairs"] += 1
        report.count["one ended with 4"] += codes.count(4)
        for item in ended:
            report.check(what, item.wrong(0, 1, 4))
        if codes == [4, 4] or (fresh and 4 not in codes):
            report.check(what, "not exactly one got the target")
        report.check(what, f"left {half_made(job.folder)}" if half_made(job.folder) else None)
        report.check(what, None if held(job.folder) == job.new else "it is not the new target")
        report.check(what, None if held(job.source, times=True) == before else "the source changed")
    return report

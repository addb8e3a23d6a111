"""Signals at random moments of commands that replace an old target."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import time
from pathlib import Path

from tests.faults.jobs import Job, jobs
from tests.faults.report import Report
from tests.faults.runs import Ended, Run, started_anew
from tests.faults.states import half_made, held

SIGNALS = {signal.SIGINT: (130, -2), signal.SIGTERM: (143, -15), signal.SIGKILL: (-9,)}
"""Exit codes of runs that a signal ended: its own, and that of a run which had not begun."""

KILLED = ("isoxml", "shapefile", "gpkg", "passes", "clean", "merge", "batch")
_ANEW = 10
"""Of so many runs one starts an interpreter of its own."""


def kills(work: Path, count: int, seed: int) -> Report:
    """Interrupt ``count`` runs, jobs and signals in turn, each at a random moment."""
    report, draw = Report("kill"), random.Random(seed)  # noqa: S311  # moments, no secret
    todo = jobs(work, KILLED[:count])
    for number in range(count):
        job, sent = todo[number % len(todo)], list(SIGNALS)[(number // len(todo) + number) % len(SIGNALS)]
        anew = number % _ANEW == _ANEW - 1
        _kill(job, sent, draw.random(), report, work, anew=anew)
    return report


def _kill(job: Job, sent: signal.Signals, share: float, report: Report, work: Path, *, anew: bool) -> None:
    job.reset()
    before = held(job.source, times=True)
    what = f"{job.name} {sent.name} at {share:.3f}{' anew' if anew else ''}"
    ended = _anew(job, sent, share) if anew else _forked(job, sent, share, work)
    report.count["kills"] += 1
    report.count["of these after the end"] += ended.code in {0, 1}
    report.count[f"{sent.name}"] += 1
    report.check(what, ended.wrong(0, 1, *SIGNALS[sent]))
    left = half_made(job.folder)
    report.count["left something until the next run"] += bool(left)
    if left and sent is not signal.SIGKILL:
        report.check(what, f"left {left}")
    after = job.settle()
    report.count["the new target"] += after == job.new
    report.count["the old target"] += after == job.old
    if after not in ((job.new,) if job.goes_on else (job.old, job.new)):
        report.check(what, f"neither the old nor the new target: {_difference(after, job)}")
    report.check(what, f"left for good: {half_made(job.folder)}" if half_made(job.folder) else None)
    report.check(what, None if held(job.source, times=True) == before else "the source changed")


def _forked(job: Job, sent: signal.Signals, share: float, work: Path) -> Ended:
    run = Run(job.words, work)
    time.sleep(share * job.seconds)
    run.send(sent)
    return run.ended()


def _anew(job: Job, sent: signal.Signals, share: float) -> Ended:
    with started_anew(job.words) as process:
        time.sleep(0.05 + share * (job.seconds + 2.0))
        process.send_signal(sent)
        try:
            _, told = process.communicate(timeout=120)
        except subprocess.TimeoutExpired:
            os.kill(process.pid, signal.SIGKILL)
            _, told = process.communicate()
        return Ended(process.returncode, told)


def _difference(after: dict[str, str], job: Job) -> str:
    names = sorted({*after, *job.old, *job.new})
    states = [
        next(
            (word for word, state in (("old", job.old), ("new", job.new)) if state.get(name) == after.get(name)),
            "other",
        )
        for name in names
    ]
    return ", ".join(f"{name}: {state}" for name, state in zip(names, states, strict=True))[:600]

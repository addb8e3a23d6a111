"""Outputs that nobody reads to the end, and little memory."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

from tests import samples
from tests.faults.jobs import FORMATS, jobs
from tests.faults.report import Report
from tests.faults.runs import Run
from tests.faults.states import half_made, held

PRINTED = (
    ["inspect", str(samples.MACHINE), "--json"],
    ["check", str(samples.BROKEN), "--format", "json"],
    ["rules"],
    ["coverage", str(samples.MACHINE), "--task", "TSK1", "--json"],
    ["compare", str(samples.OFFICE), str(samples.OLDER), "--json"],
)
MIB = 1 << 20


def closed_output(work: Path, count: int, _: int) -> Report:
    """Close stdout after its first bytes, before it, and let it be full."""
    report = Report("stdout")
    for words in PRINTED[:count]:
        command = [sys.executable, "-m", "taskdata", *words]
        for what in ("read a little", "closed", "full"):
            told, code = _printed(command, what)
            report.count["runs"] += 1
            expected = {"read a little": {141, 0, 1}, "closed": {0, 1}, "full": {4}}[what]
            wrong = "traceback" if "Traceback" in told or "ignored" in told else None
            wrong = wrong or (None if code in expected else f"exit code {code}: {told[-200:]}")
            wrong = wrong or (None if len(told.splitlines()) <= 1 else f"several lines: {told[-300:]}")
            report.check(f"{words[0]} {what}", wrong)
    return report


def _printed(command: list[str], what: str) -> tuple[str, int]:
    if what == "full":
        with Path("/dev/full").open("w") as full:
            done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
        return done.stderr, done.returncode
    if what == "closed":
        done = subprocess.run(
            ["sh", "-c", 'exec "$@" >&-', "sh", *command], stderr=subprocess.PIPE, text=True, check=False
        )
        return done.stderr, done.returncode
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.read(1)
        process.stdout.close()
        told = process.stderr.read().decode()
        return told, process.wait()


def memory(work: Path, count: int, seed: int) -> Report:
    """Let each job have ever less memory beyond what the loaded program takes."""
    report = Report("memory")
    todo = jobs(work, (*FORMATS, "clean", "merge")[:count])
    for number in range(count):
        job, room = todo[number % len(todo)], (1, 4, 16, 48, 96, 160)[number // len(todo) % 6]

        def bound(room: int = room) -> None:
            pages = int(Path("/proc/self/statm").read_text().split()[0])
            most = pages * os.sysconf("SC_PAGE_SIZE") + room * MIB
            resource.setrlimit(resource.RLIMIT_AS, (most, most))

        job.reset()
        before, what = held(job.source, times=True), f"{job.name} with {room} MiB"
        ended = Run(job.words, work, bound).ended()
        report.count["runs"] += 1
        report.count[f"of these code {ended.code}"] += 1
        report.check(what, ended.wrong(0, 1, 3, 4))
        report.check(what, f"left {half_made(job.folder)}" if half_made(job.folder) else None)
        after = job.settle()
        report.check(what, None if after in (job.old, job.new) else "neither the old nor the new target")
        report.check(what, None if held(job.source, times=True) == before else "the source changed")
    return report

"""Media that are full or read-only, and folders of somebody else."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.faults.jobs import FORMATS, Job, jobs
from tests.faults.report import Report
from tests.faults.runs import Ended, Run
from tests.faults.states import half_made, held

SHARES = (0.02, 0.3, 0.6, 0.9, 0.98)
"""How much of the new target there is room for beside the old one."""

NOBODY = 65534


def full(work: Path, count: int, _: int) -> Report:
    """Let the medium be full while each format is written."""
    report = Report("full")
    if not _may_mount(work):
        report.skipped = "it takes the right to mount"
        return report
    for job in jobs(work, FORMATS[:count]):
        for share in SHARES[: max(1, count // len(FORMATS))]:
            old, new = (_blocks(path) for path in (job.spare, job.folder))
            with _medium(job, old + max(int(new * share), 8 << 10)):
                _refused(job, report, f"{job.name} with room for {share:.0%}", work)
    return report


def read_only(work: Path, count: int, _: int) -> Report:
    """Write to a medium that cannot be written to."""
    report = Report("read-only")
    if not _may_mount(work):
        report.skipped = "it takes the right to mount"
        return report
    for job in jobs(work, FORMATS[:count]):
        with _medium(job, _blocks(job.spare) + (1 << 20)):
            subprocess.run(["mount", "-o", "remount,ro", str(job.folder)], check=True)
            _refused(job, report, job.name, work, settle=False)
    return report


def permission(work: Path, count: int, _: int) -> Report:
    """Write to a folder of somebody else, and read a source that one may not read, as another user."""
    report = Report("permission")
    if not hasattr(os, "setuid") or os.getuid():
        report.skipped = "it takes the right to become another user"
        return report
    if not _open_to_all(Path(sys.prefix)) or not _open_to_all(Path(__file__)):
        report.skipped = "another user may not read the program here"
        return report
    work.chmod(0o755)
    for job in jobs(work, FORMATS[:count]):
        job.reset()
        before = held(job.folder), held(job.source, times=True)
        home = job.folder.parent
        home.chmod(0o755)
        said = _as_nobody(job, work)
        report.check(f"{job.name} into a folder of another user", said.wrong(4))
        shutil.rmtree(job.folder)
        job.folder.mkdir()
        job.folder.chmod(0o777)
        for item in job.source.rglob("*"):
            if item.is_file():
                item.chmod(0)
        said = _as_nobody(job, work)
        report.check(f"{job.name} from a source of another user", said.wrong(3))
        report.check(job.name, "something was written" if any(job.folder.iterdir()) else None)
        job.reset()
        for item in job.source.rglob("*"):
            if item.is_file():
                item.chmod(0o644)
        report.check(job.name, None if (held(job.folder), held(job.source, times=True)) == before else "files changed")
        report.count["runs"] += 2
    return report


def _open_to_all(place: Path) -> bool:
    """Tell whether every user may enter the folders that a place lies in."""
    return all(folder.stat().st_mode & stat.S_IXOTH for folder in place.resolve().parents)


def _as_nobody(job: Job, work: Path) -> Ended:
    os.chmod(work, 0o777)  # noqa: S103  # the run writes its messages there

    def become() -> None:
        os.setgid(NOBODY)
        os.setuid(NOBODY)

    return Run(job.words, work, become).ended()


def _refused(job: Job, report: Report, what: str, work: Path, *, settle: bool = True) -> None:
    before = held(job.source, times=True)
    ended = Run(job.words, work).ended()
    report.count["runs"] += 1
    report.check(what, ended.wrong(4))
    left = half_made(job.folder)
    report.check(what, f"left {left}" if left else None)
    after = job.settle() if settle else held(job.folder)
    report.check(what, None if after == job.old else "the old target is not what it was")
    report.check(what, None if held(job.source, times=True) == before else "the source changed")


def _may_mount(work: Path) -> bool:
    if os.name != "posix" or not hasattr(os, "getuid") or os.getuid() or shutil.which("mount") is None:
        return False
    place = work / "mount"
    place.mkdir(exist_ok=True)
    tried = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)], check=False, capture_output=True
    )
    if tried.returncode:
        return False
    subprocess.run(["umount", str(place)], check=True)
    return True


@contextmanager
def _medium(job: Job, size: int) -> Iterator[None]:
    """Mount a small medium with the old target where the job writes."""
    shutil.rmtree(job.folder, ignore_errors=True)
    job.folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(job.folder)], check=True)
    try:
        shutil.copytree(job.spare, job.folder, dirs_exist_ok=True)
        yield
    finally:
        subprocess.run(["umount", str(job.folder)], check=True)
        job.reset()
        shutil.rmtree(job.folder)
        job.folder.mkdir()


def _blocks(folder: Path) -> int:
    """Return how many bytes files take on a medium with blocks of 4 KiB."""
    return sum(-(-item.stat().st_size // 4096) * 4096 for item in folder.rglob("*") if item.is_file())

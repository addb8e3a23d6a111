"""Fuzz: ``python -m tests.fuzz TARGET [--seconds N]``; ``all`` runs every group of targets, two at a time.

A target is a kind of file, such as ``main`` or ``kml``, or a group of them. What is found is written to a folder that
is named at the end, each input with the traceback beside it, and the exit code is 1. Atheris is needed (extra
``fuzz``); where it is not installed, that is said and nothing is fuzzed.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import sys
import tempfile
import time
from pathlib import Path

GAP = 0.2


def main() -> int:
    """Run what is named; return 1 where something was found."""
    from tests.fuzz.targets import GROUPS, KINDS

    names = [*GROUPS, *(kind.name for kind in KINDS)]
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description="Fuzz the readers.")
    parser.add_argument(
        "targets", nargs="+", choices=["all", "kinds", *names], metavar="TARGET", help=f"all, kinds, {', '.join(names)}"
    )
    parser.add_argument("--seconds", type=int, default=60, help="of each target")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=min(2, os.cpu_count() or 1), help="so many at a time")
    parser.add_argument("--finds", type=Path, help="folder for what is found; a new one by default")
    parser.add_argument("--keep", type=Path, help="folder for all inputs that reached something new")
    given = parser.parse_args()
    chosen = []
    for name in given.targets:
        chosen += list(GROUPS) if name == "all" else [kind.name for kind in KINDS] if name == "kinds" else [name]
    return run(chosen, given)


def run(names: list[str], given: argparse.Namespace) -> int:
    """Fork a process for each target from one that has loaded and instrumented the program once."""
    try:
        from tests.fuzz.engine import fuzz
    except ModuleNotFoundError as error:
        sys.stderr.write(f"{error.name} is not installed: nothing was fuzzed, the corpus alone runs with the tests\n")
        return 0
    finds = given.finds or Path(tempfile.mkdtemp(prefix="taskdata-finds-"))
    logs = Path(tempfile.mkdtemp(prefix="taskdata-fuzz-logs-"))
    waiting, running, codes = list(names), {}, {}
    while waiting or running:
        while waiting and len(running) < given.jobs:
            name = waiting.pop(0)
            running[_forked(name, fuzz, given, finds, logs)] = name
        pid, status = os.waitpid(-1, os.WNOHANG)
        if pid in running:
            name = running.pop(pid)
            codes[name] = os.waitstatus_to_exitcode(status)
            _tell(name, codes[name], (logs / name).read_text(encoding="utf-8", errors="replace"))
        else:
            time.sleep(GAP)
    return _outcome(finds, codes, logs)


def _forked(name: str, fuzz: object, given: argparse.Namespace, finds: Path, logs: Path) -> int:
    sys.stdout.flush()
    pid = os.fork()
    if pid:
        return pid
    try:
        log = os.open(logs / name, os.O_CREAT | os.O_WRONLY, 0o600)
        os.dup2(log, 1)
        os.dup2(log, 2)
        fuzz(name, given.seconds, given.seed, finds, given.keep and given.keep / name)  # type: ignore[operator]
    except BaseException:
        import traceback

        traceback.print_exc()
        os._exit(70)
    os._exit(0)


def _tell(name: str, code: int, log: str) -> None:
    executions = re.search(r"number_of_executed_units:\s*(\d+)", log)
    reached = re.findall(r"cov: (\d+)", log)
    counts = (
        f"{executions.group(1) if executions else '?'} executions, {reached[-1] if reached else '?'} places reached"
    )
    sys.stdout.write(f"{name}: {counts}{f', exit code {code}' if code else ''}\n")
    sys.stdout.flush()


def _outcome(finds: Path, codes: dict[str, int], logs: Path) -> int:
    found = sorted(path for path in finds.glob("*") if path.suffix != ".log")
    bad = [name for name, code in codes.items() if code]
    for path in found:
        sys.stdout.write(f"found: {path}\n")
    for name in bad:
        sys.stdout.write(f"{name} did not end well; its log: {logs / name}\n")
    if not bad:
        shutil.rmtree(logs)
    return 1 if found or bad else 0


if __name__ == "__main__":
    sys.exit(main())

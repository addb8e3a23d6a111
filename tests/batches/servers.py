"""Servers on 127.0.0.1 in processes of their own, ended with the block: a Dask scheduler, its workers, an S3 server."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
PATIENCE_S = 60.0
_WORKER = ["--no-dashboard", "--no-nanny", "--nthreads", "1", "--host", "127.0.0.1", "--death-timeout", "20"]


@contextmanager
def process(
    words: list[str], log: Path, said: str, **environment: str
) -> Iterator[tuple[subprocess.Popen[bytes], str]]:
    """Start a process, wait for what it says, and give both; it is ended with the block."""
    with log.open("wb") as stream:
        started = subprocess.Popen(
            [sys.executable, "-m", *words],
            stdout=stream,
            stderr=subprocess.STDOUT,
            cwd=log.parent,
            env={
                **os.environ,
                "PYTHONPATH": str(ROOT),
                "DASK_DISTRIBUTED__ADMIN__EVENT_LOOP": "asyncio",
                **environment,
            },
        )
    try:
        yield started, waited_for(said, log, started)
    finally:
        started.terminate()
        try:
            started.wait(10)
        except subprocess.TimeoutExpired:
            started.kill()
            started.wait()


def waited_for(said: str, log: Path, started: subprocess.Popen[bytes]) -> str:
    """What a process has said, as soon as it fits a pattern: its first group."""
    ends = time.monotonic() + PATIENCE_S
    while time.monotonic() < ends:
        found = re.search(said, log.read_text(errors="replace"))
        if found is not None:
            return found[1]
        assert started.poll() is None, log.read_text(errors="replace")
        time.sleep(0.05)
    raise TimeoutError(log.read_text(errors="replace"))


@contextmanager
def scheduler(folder: Path, port: int = 0) -> Iterator[tuple[subprocess.Popen[bytes], str]]:
    """A Dask scheduler, and its address."""
    words = ["distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard"]
    with process(words, folder / f"scheduler{port}.log", r"Scheduler at:\s*(tcp://\S+)") as (started, address):
        yield started, address


@contextmanager
def workers(folder: Path, address: str, count: int = 2) -> Iterator[list[subprocess.Popen[bytes]]]:
    """Workers of a scheduler, a process with one thread each."""
    with ExitStack() as stack:
        found = []
        for number in range(count):
            words = ["distributed.cli.dask_worker", address, *_WORKER, "--local-directory", str(folder / f"w{number}")]
            log = folder / f"worker{number}-{address.rpartition(':')[2]}.log"
            started, _ = stack.enter_context(process(words, log, r"(Registered to)"))
            found.append(started)
        yield found


@contextmanager
def object_store(folder: Path) -> Iterator[str]:
    """An S3-compatible server, and its address."""
    words = ["moto.server", "-H", "127.0.0.1", "-p", "0"]
    with process(words, folder / "store.log", r"Running on (http://127\.0\.0\.1:\d+)") as (_, address):
        yield address

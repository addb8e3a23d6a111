"""What workers do in tests: functions of a module, since they travel to other processes."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

from taskdata.batches import pool
from taskdata.batches.running import run
from taskdata.batches.unit import Unit
from taskdata.results.batch import BatchedSource


def row_of(unit: Unit) -> BatchedSource:
    return BatchedSource(unit.source, None, 0, None, None, float(os.getpid()))


def die_at_first(unit: Unit) -> BatchedSource:
    """Die by a signal the first time that a source called ``once`` is met, and each time with one called ``always``."""
    mark = Path(unit.call.out) / f"{unit.name}.met"
    if "always" in unit.source or ("once" in unit.source and not mark.exists()):
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return row_of(unit)


def kill_what_starts_workers(unit: Unit) -> BatchedSource:
    """End the process that started this worker, and this one, for a source called ``starter``."""
    if "starter" in unit.source:
        os.kill(os.getppid(), signal.SIGKILL)
        os.kill(os.getpid(), signal.SIGKILL)
    return row_of(unit)


def take_memory(unit: Unit) -> BatchedSource:
    """Take 600 MB for a source called ``large``."""
    if "large" in unit.source:
        held = bytearray(os.urandom(1 << 20) * 600)
        time.sleep(20)
        del held
    return row_of(unit)


def slowly(unit: Unit) -> BatchedSource:
    """Do the unit itself, after a moment in which a test can act."""
    time.sleep(0.15)
    return run(unit)


def renewed_after_two(unit: Unit) -> BatchedSource:
    """Be due after two sources."""
    pool.RENEWED_AFTER = 2
    return row_of(unit)
